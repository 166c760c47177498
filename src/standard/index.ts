// The CVs that each file is about; docs/standard-coverage.md has the codecs of every CV.

// Accessory decoders: CV 1-6, 9, 28, 29, and their aliases from 513 up
export {
  accessory,
  accessoryAddress,
  accessoryAliases,
  accessoryPackets,
  auxiliaryActivation,
  timeOn,
} from "./accessory.js";
// CV 1, 17, 18; CV 29 bit 5
export { type Address, address, type KnownCvs, longAddress, primaryAddress } from "./address.js";
export {
  type AddressLike,
  accessoryAddressInUse,
  addressInUse,
  addressText,
  consistInUse,
  sameAddress,
  toAddress,
} from "./address-in-use.js";
export { withoutAliases } from "./aliases.js";
export { type CvHelp, type CvRow, type CvStatus, catalogue, describeCv } from "./catalogue.js";
// CV 19, 21, 22
export { consist, consistFunctions } from "./consist.js";
export type { BitMeaning } from "./contents.js";
// CV 33-46
export { curveInUse } from "./curve-in-use.js";
export { decoderKindOf, isReadOnly, isReserved, isVolatile, reservedBits } from "./cv-facts.js";
// CV 25
export { speedTableOrMidStep } from "./cv25.js";
// CV 28
export { biDirectional2012, biDirectionalLater } from "./cv28.js";
// CV 29 bits 0-3
export { analogue, biDirectional, directionReversed, speedSteps } from "./cv29.js";
export { functionMap } from "./function-map.js";
// CV 7, 8, 105-108
export { expandedManufacturer, manufacturer, userIdentification, version } from "./identity.js";
// CV 31, 32
export { indexPage } from "./index-page.js";
// CV 15, 16
export { isUnlocked, lock } from "./lock.js";
export { factoryDefaults, locomotive } from "./locomotive.js";
// CV 3, 4, 23, 24
export {
  acceleration,
  accelerationAdjustment,
  adjustedMomentum,
  deceleration,
  decelerationAdjustment,
  type Momentum,
  momentum,
  momentumInUse,
} from "./momentum.js";
// CV 9, 10
export { feedbackCutout, nearestPwmPeriod, pwmPeriod } from "./motor.js";
// CV 29 bit 7
export { accessoryType, decoderType, nmra, nmraAccessory } from "./nmra.js";
// CV 11-14, 27
export { alternateModeFunctions, automaticStopping, packetTimeout, powerSources } from "./power.js";
export { reservedUse } from "./reserved.js";
// CV 2, 5, 6, 65-95; CV 29 bit 4
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
// CV 30, 892-895
export { decoderLoad, dynamicFlags, errorInformation, fuel, water } from "./status.js";
