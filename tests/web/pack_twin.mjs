// Reads {bundle, figures, packs: [pack]} on stdin, lays the packs in as the phone does, figures first or last, and writes the bundle.
import { readFileSync } from "node:fs";
import { layIn } from "../../web/packs.js";

const { bundle, figures, packs, late } = JSON.parse(readFileSync(0, "utf8"));
if (late) for (const pack of packs) layIn(bundle, pack);
bundle.drawings = figures;
for (const pack of packs) layIn(bundle, pack);
process.stdout.write(JSON.stringify(bundle));
