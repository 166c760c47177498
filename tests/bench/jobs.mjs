// The jobs that are timed, and inputs for them: settings of a plain decoder, and maps of CVs.
import { random } from "./hand/common.mjs";
import { shades, whistles } from "./hand/plain.mjs";

/** How many different inputs are used in turns. */
export const inputs = 16;

/** The plain job as a decoder; `n` moves names and CVs, so that each is another one. */
export function plainDecoder({ choice, cv, defineDecoder, flag, level, record, table }, n = 0) {
  const at = (cvNumber) => cv(cvNumber + n);
  const name = (text) => (n ? `${text}${n}` : text);
  const flags = Array.from({ length: 8 }, (_, bit) => [name(`flag${bit}`), flag(at(49).bit(bit))]);
  return defineDecoder({
    id: `bench-${n}`,
    name: "Bench",
    kind: "multifunction",
    features: {
      [name("start")]: level(at(102)),
      [name("up")]: level(at(103)),
      [name("down")]: level(at(104)),
      [name("top")]: level(at(105)),
      [name("middle")]: level(at(106)),
      [name("volume")]: level(at(150).bits(0, 2)),
      [name("reverb")]: level(at(150).bits(3, 7), { max: 20 }),
      [name("delay")]: level(at(151), { min: 1, max: 200, unit: "s" }),
      [name("whistle")]: choice(at(128), whistles),
      [name("shade")]: choice(at(152).bits(2, 3), shades),
      [name("address")]: level(at(217).bits(0, 5).with(at(218))),
      [name("consist")]: record({
        [name("number")]: level(at(219).bits(0, 6)),
        [name("reversed")]: flag(at(219).bit(7)),
      }),
      [name("flags")]: record(Object.fromEntries(flags)),
      [name("outputs")]: table(at(433).through(446 + n)),
      [name("speeds")]: table(at(567).through(594 + n)),
    },
  });
}

/** An image as a CV set: all of its CVs, 1-1024 and those of its pages. */
export function setOf(CvSet, { main, pages }) {
  const paged = Object.entries(pages).flatMap(([page, bytes]) =>
    [...bytes].map((byte, i) => [`${257 + i}@${page}`, byte]),
  );
  return CvSet.from([...[...main].map((byte, i) => [i, byte]).slice(1), ...paged]);
}

/** What a call gives, or that it threw. */
export function outcome(call) {
  try {
    return { value: call() };
  } catch {
    return "threw";
  }
}

/** Settings of which one value somewhere is another one. */
export function withOneWrong(settings, next) {
  const wrong = structuredClone(settings);
  let at = wrong;
  for (;;) {
    const keys = Object.keys(at);
    const key = keys[next(keys.length)];
    if (typeof at[key] === "object" && Object.keys(at[key]).length > 0) at = at[key];
    else {
      at[key] = [-1, 0.5, 300, true, "none", "off", 1][next(7)];
      return wrong;
    }
  }
}

/** Maps of some CVs; one in eight has something wrong. */
export function maps(count) {
  return Array.from({ length: inputs }, (_, n) => {
    const next = random(n);
    const map = {};
    for (let i = 0; i < count; i++) map[count === 1024 ? i + 1 : 1 + next(1024)] = next(256);
    if (n % 8 === 7) Object.assign(map, { 29: 256, 1025: 0, x: 1, 30: "7" });
    return map;
  });
}
