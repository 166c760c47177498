// Decoders of the standard; feature sets to spread into a description or to take features from

export { accessory, accessoryAliases } from "./accessory.js";
export { identity } from "./identity.js";
export { factoryDefaults, locomotive } from "./locomotive.js";
export { motor } from "./motor.js";
export { nmra, nmraAccessory } from "./nmra.js";
export { power } from "./power.js";
export { status } from "./status.js";

// Single codecs; most are in a feature set too

export { accessoryAddress } from "./accessory.js";
export { address, extendedAddress, primaryAddress } from "./address.js";
export { consist } from "./consist.js";
export { biDirectional2012, biDirectionalLater } from "./cv28.js";
export { functionMap } from "./function-map.js";
export { indexPage } from "./index-page.js";
export { lock } from "./lock.js";
export { momentum } from "./momentum.js";
export { speed } from "./speed.js";

// What the CVs of a decoder result in: the addresses, momentum and curve in use

export type { Address, KnownCvs } from "./address.js";
export {
  type AddressLike,
  accessoryAddressInUse,
  addressInUse,
  addressText,
  consistInUse,
} from "./address-in-use.js";
export { curveInUse } from "./curve-in-use.js";
export { adjustedMomentum, type Momentum, momentumInUse } from "./momentum.js";

// The facts about each CV; use of reserved places; aliases of accessory decoders

export { withoutAliases } from "./aliases.js";
export { type CvHelp, describeCv } from "./catalogue.js";
export type { BitMeaning } from "./contents.js";
export { reservedUse } from "./reserved.js";
export type { CvStatus } from "./tables.js";
