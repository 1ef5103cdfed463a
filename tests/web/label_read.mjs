// What the phone's own reader makes of a picture: {width, height, data: base64 RGBA} on stdin. For tests/web/test_label_code.py.
import { readFileSync } from "node:fs";
import { decode } from "../../web/label_read.js";

const { width, height, data } = JSON.parse(readFileSync(0, "utf8"));
console.log(JSON.stringify(await decode({ width, height, data: Uint8Array.from(Buffer.from(data, "base64")) })));
