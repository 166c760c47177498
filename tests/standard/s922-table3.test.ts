import { compareTable } from "./compare-table.js";
import table3 from "./s922-table3.json" with { type: "json" };

compareTable("accessory", table3);
