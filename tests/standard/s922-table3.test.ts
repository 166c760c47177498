import { compareTable } from "./compare-table.js";
import table3 from "./s922-table3.json" with { type: "json" };

compareTable(
  "accessory",
  table3,
  {
    3: "Time On F1",
    4: "Time On F2",
    5: "Time On F3",
    6: "Time On F4",
    31: "Index High Byte",
    32: "Index Low Byte",
  },
  {},
);
