import { compareTable } from "./compare-table.js";
import table1 from "./s922-table1.json" with { type: "json" };

const functions = ["FL forward", "FL reverse", ...Array.from({ length: 12 }, (_, i) => `F${i + 1}`)];
// S-9.2.2 (July 2012), CV 33-46: the defaults, as values.
const outputs = [1, 2, 4, 8, 16, 4, 8, 16, 32, 64, 16, 32, 64, 128];

compareTable(
  "multifunction",
  table1,
  {
    15: "Decoder Lock, key",
    16: "Decoder Lock, number",
    17: "Extended Address, high byte",
    18: "Extended Address, low byte",
    105: "User Identification #1",
    106: "User Identification #2",
    ...Object.fromEntries(functions.map((name, i) => [33 + i, `Output Location ${name}`])),
  },
  Object.fromEntries(outputs.map((value, i) => [33 + i, value])),
);
