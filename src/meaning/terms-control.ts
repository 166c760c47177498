import { type Term, termsOf } from "./term.js";

/** What a number or a switch says about a thing; it stands beside the thing: `"whistle, sound level"`. */
export const aspects = /* @__PURE__ */ termsOf("aspects", [
  [
    "sound level",
    "share",
    "How loud a sound is: the linear share of its full amplitude; its decibels are 20 log10 of the share.",
  ],
  ["brightness", "share", "How bright a lamp is: the linear share of its full light."],
  ["strength", "share", "How strongly an effect shows."],
  ["key", "key", "The function key that works the thing: 0 for F0 (FL), 1 for F1."],
  ["duration", "time", "How long the thing lasts once it has begun."],
  ["interval", "time", "How long it takes from one occurrence to the next."],
  ["delay", "time", "How long the thing waits before it begins."],
  ["fade time", "time", "How long a lamp takes to come up or go out."],
  ["rate", "frequency", "How often the thing strokes, flashes or sounds."],
  ["below speed step", "step", "The thing happens below this speed step; of 126 steps."],
  ["above speed step", "step", "The thing happens above this speed step; of 126 steps."],
  ["rung by air", "switch", "The bell is rung by compressed air, evenly, and not by hand."],
  ["fitted", "switch", "The thing is there."],
]);

/** How the locomotive runs and how it is addressed. */
export const motion = /* @__PURE__ */ termsOf("motion", [
  ["address", "part", "The address that the decoder answers to."],
  ["consist", "part", "The consist that the locomotive is in."],
  ["functions in a consist", "part", "The functions that the consist's address works."],
  ["speed curve", "part", "The drive level of each speed step."],
  ["speed steps", "choice", "How many speed steps the decoder divides the throttle into."],
  ["direction reversed", "switch", "Forward and reverse are exchanged."],
  ["momentum", "part", "How slowly the speed follows the throttle."],
  ["acceleration", "time", "The time from stop to full speed."],
  ["deceleration", "time", "The time from full speed to stop."],
  ["kick start", "share", "The extra drive from stop to step 1."],
  ["load compensation", "switch", "The decoder holds the speed under load by the motor's back-EMF."],
  ["full speed", "speed", "The speed of the locomotive at the top step, at full size."],
  ["shunting mode", "switch", "All speeds are lowered for shunting."],
  ["momentum off", "switch", "The speed follows the throttle at once."],
  ["brake", "part", "A brake that the driver applies by key."],
  ["analogue operation", "switch", "The decoder also runs on direct current."],
  ["bi-directional communication", "switch", "The decoder answers over the rails."],
]);

/** Outputs, and what hangs on them besides lamps. */
export const outputs: readonly Term[] = /* @__PURE__ */ outputTerms();

function outputTerms(): readonly Term[] {
  const things = termsOf("outputs", [
    ["function outputs", "part", "Which outputs each function works."],
    ["smoke unit", "part", "The heater that makes smoke."],
    ["uncoupler", "part", "The coupler that opens by current."],
    ["plate text", "text", "A text that the decoder stores, such as the locomotive's number."],
  ]);
  return [...things, ...Array.from({ length: 16 }, (_, i) => outputTerm(i + 1))];
}

function outputTerm(number: number): Term {
  const definition = `The settings belong to output ${number}, whatever is connected there.`;
  return Object.freeze({ name: `output ${number}`, group: "outputs", type: "output", definition });
}

/** Options that fit any choice, and names that a number can have. */
export const general = /* @__PURE__ */ termsOf("general", [
  ["none", "option", "The thing is not fitted, or nothing is chosen."],
  ["off", "option", "The thing is fitted and does not work.", { kindOf: "none" }],
  ["on", "option", "The thing works."],
  ["silent", "option", "It is not heard.", { of: "sound level", amount: 0 }],
  ["full", "option", "As much as there is.", { amount: 100 }],
  ["continuous", "option", "It does not end by itself.", { of: "duration", amount: Infinity }],
  ["never", "option", "It does not happen by itself.", { of: "interval", amount: Infinity }],
]);
