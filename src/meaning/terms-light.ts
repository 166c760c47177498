import { termsOf } from "./term.js";

/** Lamps, told apart by what they are for. */
export const lamps = /* @__PURE__ */ termsOf("lamps", [
  ["lamp", "part", "A lamp without a fixed purpose."],
  ["headlight", "part", "The lamp that lights the track in front.", { kindOf: "lamp" }],
  ["rear light", "part", "The lamp at the rear that lights the track or marks the end.", { kindOf: "lamp" }],
  ["cab light", "part", "The lamp inside the cab.", { kindOf: "lamp" }],
  ["firebox light", "part", "The lamp that shows the glow of the fire.", { kindOf: "lamp" }],
  ["number boards", "part", "The lamps behind the number boards.", { kindOf: "lamp" }],
  ["marker lights", "part", "The small lamps that mark the train or its class.", { kindOf: "lamp" }],
  ["ditch lights", "part", "The pair of lamps low at the front.", { kindOf: "lamp" }],
  ["running-gear lights", "part", "The lamps above the wheels, for inspection.", { kindOf: "lamp" }],
  ["beacon", "part", "The warning lamp on the roof.", { kindOf: "lamp" }],
  ["gauge lights", "part", "The lamps at the gauges on the backhead.", { kindOf: "lamp" }],
  ["lamp effect", "choice", "How the light of a lamp changes in time."],
  ["lamp direction", "choice", "In which direction of travel a lamp is lit."],
  [
    "LED correction",
    "switch",
    "The brightness steps are corrected for an LED, whose light rises faster than a bulb's.",
  ],
]);

/** Options of a lamp's effect and direction. */
export const lampEffects = /* @__PURE__ */ termsOf("lamp effects", [
  ["steady", "option", "Full brightness without a change.", { of: "lamp effect" }],
  [
    "dimmed",
    "option",
    "Less than full brightness without a change.",
    { of: "lamp effect", kindOf: "steady" },
  ],
  [
    "dimmable",
    "option",
    "Steady, and dimmed when a key or a condition says so.",
    { of: "lamp effect", kindOf: "steady" },
  ],
  [
    "dimmed while standing",
    "option",
    "Dimmed while the locomotive stands.",
    { of: "lamp effect", kindOf: "dimmable" },
  ],
  ["dynamo lamp", "option", "Comes up slowly, as the dynamo does.", { of: "lamp effect", kindOf: "steady" }],
  ["oscillating", "option", "A beam that sweeps over the track and back.", { of: "lamp effect" }],
  ["rotating", "option", "A beam that turns in a circle.", { of: "lamp effect" }],
  ["flashing", "option", "On and off at an even rate.", { of: "lamp effect" }],
  [
    "alternating flash",
    "option",
    "On and off in turn with a second lamp.",
    { of: "lamp effect", kindOf: "flashing" },
  ],
  ["strobe", "option", "Short bright flashes with dark pauses.", { of: "lamp effect" }],
  ["double strobe", "option", "Short bright flashes in pairs.", { of: "lamp effect", kindOf: "strobe" }],
  ["flicker", "option", "An uneven light, as of a flame.", { of: "lamp effect" }],
  ["oil lamp", "option", "The small flicker of an oil lamp.", { of: "lamp effect", kindOf: "flicker" }],
  ["firebox glow", "option", "The slow, deep flicker of a fire.", { of: "lamp effect", kindOf: "flicker" }],
  ["both directions", "option", "Lit in both directions of travel.", { of: "lamp direction" }],
  ["forward only", "option", "Lit when running forward.", { of: "lamp direction" }],
  ["reverse only", "option", "Lit when running in reverse.", { of: "lamp direction" }],
]);
