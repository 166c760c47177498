import { CvError, CvSet, type Issue, messageOf } from "cvset";

// Calls a function with every argument, and everything within it, replaced by what callers without types pass: values of
// another kind, copies that structuredClone or JSON made, things from elsewhere.

/** A call that works, and what of it may be replaced without an error. */
export interface Call {
  /** The parameters: `"cvs, options?"`. */
  readonly parameters: string;
  readonly call: (...args: never[]) => unknown;
  /** Arguments that work; made anew for each call. */
  readonly good: () => readonly unknown[];
  /** Paths such as `"options.label"`, at which values of other kinds are taken too, each with the reason. */
  readonly lenient?: Readonly<Record<string, string>>;
}

export interface Outcome {
  readonly what: string;
  /** How it went wrong; undefined where the call was refused in words, or the value was as good as the other. */
  readonly wrong?: string;
}

type Bad = readonly [name: string, value: unknown];

const others: readonly Bad[] = [
  ["nothing", undefined],
  ["null", null],
  ["a number", 5],
  ["NaN", Number.NaN],
  ["a text", "no such thing"],
  ["true", true],
  ["an empty object", {}],
  ["an empty list", []],
  ["a function", () => 5],
  ["a date", new Date(0)],
  ["a symbol", Symbol("no such thing")],
  ["a promise", Promise.resolve({})],
  ["a list of nothing", [undefined]],
  ["a list of null", [null]],
  ["an object with the name of a class", { "~cvset": "Codec" }],
];

/** Messages of JavaScript itself: a sentence of this library never has one. */
const raw =
  /is not a function|is not iterable|is not a constructor|cannot read|cannot destructure|cannot convert|\(reading|invalid array length|maximum call stack|is not an object|private member|the rule itself failed|in operator|'in'|Cannot mix BigInt|toString/i;

export async function outcomesOf({ parameters, call, good, lenient = {} }: Call): Promise<Outcome[]> {
  const names = parameters.split(", ").filter(Boolean);
  const outcomes: Outcome[] = [];
  const run = async (args: readonly unknown[], what: string, path: string, mustRefuse: boolean) => {
    const wrong = await wrongWith(() => (call as (...args: unknown[]) => unknown)(...args), path);
    if (wrong !== "taken") outcomes.push({ what, ...(wrong && { wrong }) });
    else if (mustRefuse && !isLenient(lenient, path) && !isLenient(lenient, what))
      outcomes.push({ what, wrong: "taken as if it were right" });
    else outcomes.push({ what });
  };
  const works = await wrongWith(() => (call as (...args: unknown[]) => unknown)(...good()), "");
  if (works !== "taken") outcomes.push({ what: "the good call", wrong: works ?? "it is refused" });

  for (const [i, mark] of names.entries()) {
    const name = mark.replace("?", "");
    for (const { path, value, replace } of places(good()[i], name)) {
      const isOptional = path !== name || mark.endsWith("?");
      for (const [bad, other] of [...others, ...copiesOf(value)]) {
        if (other === undefined && isOptional) continue;
        const args = [...good()];
        args[i] = replace(good()[i], other);
        // A list of pairs is as good as a map of CVs, and of no pairs it is empty.
        const isEmptySet = value instanceof CvSet && Array.isArray(other) && other.length === 0;
        const isOther = other !== undefined && kindOf(other) !== kindOf(value) && !isEmptySet;
        await run(args, `${path} = ${bad}`, path, isOther);
      }
    }
  }
  return outcomes;
}

function isLenient(lenient: Readonly<Record<string, string>>, path: string): boolean {
  return Object.keys(lenient).some(
    (key) =>
      path === key ||
      (key.endsWith("*") && path.startsWith(key.slice(0, -1))) ||
      (key.startsWith("*") && path.endsWith(key.slice(1))),
  );
}

/** What is wrong with how a call went; "taken" where it gave a result, undefined where it was refused in words. */
async function wrongWith(call: () => unknown, path: string): Promise<string | undefined> {
  let result: unknown;
  try {
    result = await call();
    if (isAsyncIterator(result)) for await (const item of result) result = item;
  } catch (error) {
    if (!(error instanceof CvError)) return `${error}`;
    return wrongWords(error.issues, error.message, path);
  }
  const issues = issuesIn(result);
  return issues ? wrongWords(issues, issues.map((one) => messageOf(one)).join("\n"), path) : "taken";
}

function wrongWords(issues: readonly Issue[], message: string, path: string): string | undefined {
  if (issues.length === 0) return "refused without an issue";
  if (raw.test(message)) return `refused with the words of JavaScript: ${message.slice(0, 200)}`;
  // What is converted itself has no name: its issues have the paths of what is in it.
  const isWhole = /^(json|value|settings|map)\b/.test(path);
  const nameless = !isWhole && issues.find(({ code, path: of }) => general.test(code) && of === "");
  return nameless ? `refused without a name: ${message.slice(0, 200)}` : undefined;
}

/** Sentences that fit any argument: the path must tell which one is meant. */
const general = /^expected-(boolean|function|list|number|object|text)$/;

function issuesIn(result: unknown): readonly Issue[] | undefined {
  if (typeof result !== "object" || result === null) return undefined;
  const { ok, issues } = result as { ok?: unknown; issues?: readonly Issue[] };
  return ok === false ? issues : undefined;
}

function isAsyncIterator(value: unknown): value is AsyncIterable<unknown> {
  return typeof value === "object" && value !== null && Symbol.asyncIterator in value;
}

interface At {
  readonly path: string;
  readonly value: unknown;
  /** The argument with another value there. */
  readonly replace: (argument: unknown, other: unknown) => unknown;
}

/** An argument and all that is within it: values of bare objects and the first item of lists. */
function places(value: unknown, path: string, depth = 0): At[] {
  const own: At = { path, value, replace: (_, other) => other };
  if (depth > 2 || typeof value !== "object" || value === null) return [own];
  const isList = Array.isArray(value);
  if (!isList && Object.getPrototypeOf(value) !== Object.prototype) return [own];
  const keys = isList ? Object.keys(value).slice(0, 1) : Object.keys(value);
  const inner = keys.flatMap((key) =>
    places((value as Record<string, unknown>)[key], `${path}.${key}`, depth + 1).map(
      (at): At => ({
        ...at,
        replace: (argument, other) => {
          const copy = (isList ? [...(argument as unknown[])] : { ...(argument as object) }) as Record<
            string,
            unknown
          >;
          copy[key] = at.replace(copy[key], other);
          return copy;
        },
      }),
    ),
  );
  return [own, ...inner];
}

/** Copies of a value of a class, which have lost what makes it one. */
function copiesOf(value: unknown): Bad[] {
  if (typeof value !== "object" || value === null) return [];
  return [
    ["a copy by structuredClone", attempt(() => structuredClone(value))] as const,
    ["a copy by JSON", attempt(() => JSON.parse(JSON.stringify(value)) as unknown)] as const,
    ["a copy of its properties", { ...value }] as const,
  ].filter(([, copy]) => copy !== undefined);
}

function attempt<T>(make: () => T): T | undefined {
  try {
    return make();
  } catch {
    return undefined;
  }
}

function kindOf(value: unknown): string {
  if (value === null) return "null";
  if (Array.isArray(value)) return "list";
  if (typeof value === "number" && Number.isNaN(value)) return "NaN";
  if (typeof value !== "object") return typeof value;
  return value instanceof Date ? "date" : value instanceof Promise ? "promise" : "object";
}
