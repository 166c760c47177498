import { choice } from "../codec/choice.js";
import { cv } from "../cv/place.js";

/**
 * The kind of decoder, CV 29 bit 7, for a multi-function decoder: always `"multifunction"`, 0. 1 is an
 * error here (S-9.2.2 (July 2012), CV 29 bit 7).
 */
export const multifunctionType = /* @__PURE__ */ choice(
  /* @__PURE__ */ cv(29).bit(7),
  { multifunction: 0 },
  { label: "Kind of decoder", source: "S-9.2.2 (July 2012), CV 29 bit 7" },
);

/**
 * The kind of decoder, CV 29 bit 7, for an accessory decoder: always `"accessory"`, 1. 0 is an error here
 * (S-9.2.2 (July 2012), accessory CV 29 bit 7).
 */
export const accessoryType = /* @__PURE__ */ choice(
  /* @__PURE__ */ cv(29).bit(7),
  { accessory: 1 },
  { label: "Kind of decoder", source: "S-9.2.2 (July 2012), accessory CV 29 bit 7" },
);
