import { numberOf } from "../cv/name.js";
import { addressText } from "./address.js";
import { Follower } from "./follow.js";
import { type Arrangement, type Group, sortGroups } from "./hazards.js";
import { orderPages } from "./pages.js";
import { type Pause, PlanStep } from "./step.js";
import { say, type Work, type Write } from "./work.js";

const anyPlace = "its place among the others does not matter";

/** Why the steps of a group stand where they stand. */
const places: Readonly<Record<Exclude<Group, "select" | "pages">, string>> = {
  reset: "first, since a factory reset undoes every write before it (S-9.2.3 (July 2012), section E)",
  unlock:
    "before all others: the decoder obeys writes only while CV 15 equals CV 16 (S-9.2.2 (July 2012), CV 15 and 16)",
  bare: "before CV 31 and 32 change, since it has no page of its own (S-9.2.2 (July 2012), CV 31 and 32)",
  primary:
    "before CV 29 and CV 19: writing CV 1 makes the decoder clear bit 5 of CV 29, and CV 19 (S-9.2.3 (July 2012), section E)",
  plain: anyPlace,
  "extended-high":
    "before CV 18: the two are one address, which changes when CV 18 is written (S-9.2.1 (July 2012), note to Write Byte)",
  "extended-low":
    "after CV 17: the two are one address, which changes when CV 18 is written (S-9.2.1 (July 2012), note to Write Byte)",
  consist: "after CV 1, whose writing clears it (S-9.2.3 (July 2012), section E)",
  configuration:
    "late: it puts addresses and speed curves to use, which are complete by now (S-9.2.2 (July 2012), CV 29)",
  index: "after the last page, which moved it (S-9.2.2 (July 2012), CV 31 and 32)",
  lock: "last: the target leaves the decoder locked, and it ignores writes from here on (S-9.2.2 (July 2012), CV 15 and 16)",
};

const onMain: Partial<Record<Group, string>> = {
  primary: "after the others: an address in use changes at once (S-9.2.1 (July 2012), section A)",
  consist: anyPlace,
};

/** The pause after a factory reset. How long decoders need is nowhere published: common practice. */
export const factoryResetPause: Pause = {
  seconds: 2,
  powerCycle: true,
  warning:
    "every CV goes back to its factory value; decoders need some seconds for it, many a power cycle, as their manual says",
};

/** The steps of a plan, in their order. */
export function putInOrder(work: Work, { rules, start }: Arrangement): PlanStep[] {
  const { mode, known, groups, pages, kind } = work;
  const steps: PlanStep[] = [];
  const follower = work.address && new Follower(work.address, known);
  const moved: string[] = [];
  let high = known.peek(31);
  let low = known.peek(32);

  const push = (
    key: number,
    value: number,
    mask: number,
    was: number,
    reason: string,
    pause?: Pause,
  ): void => {
    if (!follower) {
      steps.push(new PlanStep(key, value, mask, was, reason, mode, undefined, undefined, pause));
      return;
    }
    const { address } = follower;
    if (!address) {
      work.issues.push({
        code: "missing",
        path: "address",
        expected: `the address that the decoder has when CV ${numberOf(key)} is to be written`,
      });
      return;
    }
    const next = key <= 29 ? follower.write(key, value, mask) : undefined;
    if (next !== undefined) moved.push(String(key));
    steps.push(new PlanStep(key, value, mask, was, reason, mode, address, next));
  };

  const present = start.filter((group) => (group === "pages" ? pages.size > 0 : groups.has(group)));
  const selectFirst =
    rules.some(({ first, later }) => first.includes("select") && later.includes("pages")) ||
    start.indexOf("select") < start.indexOf("pages");

  const pushPages = (): void => {
    for (const page of orderPages(pages.keys(), { high, low }, work.index)) {
      const writes = pages.get(page) as Write[];
      const name = `${page >> 8}.${page & 255}`;
      const select = (): void => {
        const reason = `selects index page ${name}, for ${writes.length} CV${
          writes.length > 1 ? "s" : ""
        } (S-9.2.2 (July 2012), CV 31 and 32)`;
        const [oldHigh, oldLow] = [high, low];
        high = page >> 8;
        low = page & 255;
        if (high !== oldHigh) push(31, high, 255, oldHigh, reason);
        if (low !== oldLow) push(32, low, 255, oldLow, reason);
      };
      if (selectFirst) select();
      const reason = `while page ${name} is selected`;
      for (const { key, value, mask, was } of writes)
        push(key, value, mask, was, stateOf(was, value, reason));
      if (!selectFirst) select();
    }
  };
  for (const group of sortGroups(present, rules, mode)) {
    if (group === "pages") pushPages();
    else if (group !== "select") {
      const place = (mode === "main" ? onMain[group] : undefined) ?? places[group];
      for (const { key, value, mask, was, forced } of groups.get(group) as Write[]) {
        if (group === "index") {
          const now = key === 31 ? high : low;
          if (now === value && !forced) continue;
          push(key, value, mask, now, pages.size ? place : stateOf(now, value, anyPlace));
          if (key === 31) high = value;
          else low = value;
        } else if (group === "reset") push(key, value, mask, was, place, factoryResetPause);
        else if (forced) push(key, value, mask, was, `again, though it stays the same; ${place}`);
        else push(key, value, mask, was, stateOf(was, value, consistPlace(group, groups, place)));
      }
    }
  }
  if (moved.length) {
    const end = follower?.address;
    say(
      work.notes,
      "address",
      "warning",
      moved,
      `writing these changes the address that you are talking to; at the end the decoder answers to ${
        end ? addressText(end) : kind === "accessory" ? "its new address" : "an address that is not known"
      }`,
      "S-9.2.1 (July 2012), section A",
    );
  }
  return steps;
}

function consistPlace(group: Group, groups: ReadonlyMap<Group, unknown>, place: string): string {
  return group === "consist" && !groups.has("primary") ? anyPlace : place;
}

function stateOf(was: number, value: number, place: string): string {
  if (was < 0) return place === anyPlace ? unknownPlain : `not known to be there; ${place}`;
  if (was === value) return `everything was asked for; ${place}`;
  return place === anyPlace ? differsPlain : `differs; ${place}`;
}

const unknownPlain = `not known to be there; ${anyPlace}`;
const differsPlain = `differs; ${anyPlace}`;
