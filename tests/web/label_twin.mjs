// Codes of positions from JSON lines on stdin: what web/label_code.js makes of each, and of a slip. For tests/web/test_label_code.py.
import { readFileSync } from "node:fs";
import { labelCode, positionIn, readCode } from "../../web/label_code.js";

const asked = JSON.parse(readFileSync(0, "utf8"));
console.log(JSON.stringify({ codes: asked.ids.map(labelCode), read: asked.typed.map(readCode), found: asked.texts.map(positionIn) }));
