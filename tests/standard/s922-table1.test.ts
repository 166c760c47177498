import { compareTable } from "./compare-table.js";
import table1 from "./s922-table1.json" with { type: "json" };

compareTable("multifunction", table1);
