import { address } from "./address.js";
import { consist, consistFunctions } from "./consist.js";
import { analogue, biDirectional, directionReversed, speedSteps } from "./cv29.js";
import { functionMap } from "./function-map.js";
import { momentum } from "./momentum.js";
import { speed } from "./speed.js";

/**
 * The settings that most locomotive decoders have, as features to spread into a description or to take one
 * by one: address, consist, speed curve, momentum, function map, and the bits of CV 29. Others are in
 * `motor`, `power`, `identity` and `status`; the decoder `nmra` has all of them.
 *
 * S-9.2.2 (July 2012).
 * @example
 * import { choice, cv, defineDecoder } from "cvset";
 * import { factoryDefaults, locomotive } from "cvset/standard";
 * const decoder = defineDecoder({
 *   id: "example-x1", name: "Example X1", kind: "multifunction",
 *   features: { ...locomotive, whistle: choice(cv(218), { low: 2, high: 5 }) },
 *   factory: { ...factoryDefaults, 17: 192, 18: 0, 29: 6 },
 * });
 * decoder.patch({ address: { kind: "extended", number: 1234 } }).toJSON().cvs; // { "17": 196, "18": 210 }
 */
export const locomotive = /* @__PURE__ */ Object.freeze({
  address,
  consist,
  consistFunctions,
  directionReversed,
  speedSteps,
  analogue,
  biDirectional,
  speed,
  momentum,
  functionMap,
});

/**
 * The factory values that the standard gives for a multi-function decoder: address 3, and each function on
 * its own output.
 *
 * S-9.2.2 (July 2012), Table 1 and CV 33-46.
 * @example
 * import { factoryDefaults } from "cvset/standard";
 * factoryDefaults[1]; // 3
 */
export const factoryDefaults = /* @__PURE__ */ Object.freeze({
  1: 3,
  33: 1,
  34: 2,
  35: 4,
  36: 8,
  37: 16,
  38: 4,
  39: 8,
  40: 16,
  41: 32,
  42: 64,
  43: 16,
  44: 32,
  45: 64,
  46: 128,
});
