export { address, longAddress, primaryAddress } from "./address.js";
export { consist, consistFunctions } from "./consist.js";
export { analogue, biDirectional, directionReversed, speedSteps } from "./cv29.js";
export { functionMap } from "./function-map.js";
export { factoryDefaults, locomotive } from "./locomotive.js";
export { acceleration, deceleration, momentum } from "./momentum.js";
export {
  forwardTrim,
  kickStart,
  reverseTrim,
  speed,
  speedTable,
  vhigh,
  vmid,
  vstart,
} from "./speed.js";
