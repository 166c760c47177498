// Tries to change everything that can be reached from a value, as a careless or a hostile caller would: in
// strict code, in sloppy code, and through Reflect, which tells nobody.

type Loose = Record<PropertyKey, unknown>;

// Sloppy code: what cannot be written stays as it is without an error. A module is always strict.
const sloppily = new Function("object", "key", "value", "object[key] = value; delete object[key];") as (
  object: object,
  key: PropertyKey,
  value: unknown,
) => void;

function strictly(object: object, key: PropertyKey, value: unknown): void {
  (object as Loose)[key] = value;
  delete (object as Loose)[key];
}

const ways: readonly ((object: object, key: PropertyKey, value: unknown) => unknown)[] = [
  strictly,
  sloppily,
  (object, key, value) => Reflect.set(object, key, value),
  (object, key, value) => Reflect.defineProperty(object, key, { value, configurable: true, writable: true }),
  (object, key) => Reflect.deleteProperty(object, key),
];

/** Changes what can be changed, in whatever is reached: properties, items of lists, entries, bytes. */
export function ruin(value: unknown): void {
  ruinOnce(value, new Set(), true);
}

/** @param calls Whether methods are called; not those of what a method gives, which may give another of its kind. */
function ruinOnce(value: unknown, seen: Set<unknown>, calls: boolean): void {
  if (value === null || (typeof value !== "object" && typeof value !== "function") || seen.has(value)) return;
  seen.add(value);
  for (const inner of reachable(value)) ruinOnce(inner, seen, calls);
  if (calls) for (const given of givenBy(value)) ruinOnce(given, seen, false);
  for (const key of Reflect.ownKeys(value)) {
    for (const way of ways) attempt(() => way(value, key, "ruined"));
    for (const way of ways) attempt(() => way(value, key, 0));
  }
  for (const way of ways) attempt(() => way(value, "added", "ruined"));
  if (Array.isArray(value)) {
    attempt(() => value.push("ruined"));
    attempt(() => value.reverse());
    attempt(() => value.splice(0));
    attempt(() => {
      value.length = 0;
    });
  }
  if (value instanceof Map || value instanceof Set) attempt(() => value.clear());
  if (ArrayBuffer.isView(value)) attempt(() => (value as Uint8Array).fill(7));
  if (typeof value !== "function") attempt(() => Object.setPrototypeOf(value, null));
}

/** Own properties, entries, and what the getters of its class give. */
function reachable(value: object): unknown[] {
  const found: unknown[] = Reflect.ownKeys(value).map((key) => attempt(() => (value as Loose)[key]));
  if (value instanceof Map) found.push(...value.keys(), ...value.values());
  if (value instanceof Set) found.push(...value);
  for (const property of inherited(value)) if (typeof property !== "function") found.push(property);
  return found;
}

/** What the methods of its class give. */
function givenBy(value: object): unknown[] {
  return inherited(value).map((property) =>
    typeof property === "function" ? attempt(() => Reflect.apply(property, value, [])) : undefined,
  );
}

/** The properties of its class; of classes of this library alone, since those of JavaScript are everybody's. */
function inherited(value: object): unknown[] {
  const prototype = Object.getPrototypeOf(value) as object | null;
  if (!prototype || prototype.constructor === Object || isBuiltIn(prototype)) return [];
  const keys = Reflect.ownKeys(prototype).filter((key) => key !== "constructor");
  return keys.map((key) => attempt(() => (value as Loose)[key]));
}

function isBuiltIn(prototype: object): boolean {
  const made: unknown = prototype.constructor;
  return typeof made !== "function" || /\[native code\]/.test(Function.prototype.toString.call(made));
}

function attempt<T>(change: () => T): T | undefined {
  try {
    return change();
  } catch {
    return undefined;
  }
}
