// Values that throw or lie when they are looked at, as a caller may pass them where anything is allowed.

export const boom = (): never => {
  throw new Error("boom");
};

/** An object with a property that throws. */
export const withGetter = (name: string): object =>
  Object.defineProperty({}, name, { get: boom, enumerable: true });

/** A proxy that is no longer of any use: even asking whether it is a list throws. */
export function revoked<T extends object>(target: T): T {
  const { proxy, revoke } = Proxy.revocable(target, {});
  revoke();
  return proxy;
}

/** Things that are thrown in place of an error, and that cannot be made a text. */
export const oddThrows: readonly (readonly [name: string, thrown: unknown])[] = [
  ["nothing", undefined],
  ["an object without a prototype", Object.create(null)],
  ["a symbol", Symbol("x")],
  ["an error without a readable message", Object.defineProperty(new Error("x"), "message", { get: boom })],
  ["a proxy that throws", new Proxy(new Error("x"), { get: boom, getPrototypeOf: boom })],
  ["a revoked proxy", revoked(new Error("x"))],
];

/** Makes of each a fresh object, list or proxy that throws in another place. */
export const hostile: readonly (readonly [name: string, make: () => unknown])[] = [
  ["a getter", () => withGetter("1")],
  ["a proxy without keys", () => new Proxy({}, { ownKeys: boom })],
  ["a proxy without values", () => new Proxy({ 1: 3 }, { get: boom })],
  ["a proxy that has nothing", () => new Proxy({}, { has: boom })],
  ["a proxy without a prototype", () => new Proxy({ a: 1 }, { getPrototypeOf: boom })],
  ["a proxy without descriptors", () => new Proxy({ 1: 3 }, { getOwnPropertyDescriptor: boom })],
  ["a proxy of a list", () => new Proxy([[1, 3]], { get: boom })],
  ["a revoked object", () => revoked({})],
  ["a revoked list", () => revoked([])],
  ["a revoked function", () => revoked(() => 1)],
  ["a list with an element that throws", () => Object.defineProperty([1], 0, { get: boom })],
  ["a list of revoked lists", () => [revoked([1, 2])]],
  ["a sparse list", () => Object.assign([], { 5: 1 })],
  ["a list of holes", () => new Array(28)],
  ["a list of four thousand million holes", () => new Array(2 ** 32 - 1)],
  ["an iterator that throws", () => ({ [Symbol.iterator]: boom })],
  ["an iterator that is none", () => ({ [Symbol.iterator]: 7 })],
  ["a generator that throws", () => throwing()],
  ["values that throw as text", () => ({ 1: { toString: boom, valueOf: boom, [Symbol.toPrimitive]: boom } })],
  ["toJSON that throws", () => ({ toJSON: boom, 1: 3 })],
];

function* throwing(): Generator<unknown> {
  yield [1, 3];
  boom();
}
