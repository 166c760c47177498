/** A value of a JSON text, with its place: `start` and `end` are offsets, `end` is behind it. */
export type JsonNode = {
  readonly start: number;
  readonly end: number;
  /** The offset of its key, where it is a member of an object; else the same as `start`. */
  readonly at: number;
} & (
  | { readonly kind: "object"; readonly value: JsonMembers }
  | { readonly kind: "list"; readonly value: readonly JsonNode[] }
  | { readonly kind: "text"; readonly value: string }
  | { readonly kind: "number"; readonly value: number }
  | { readonly kind: "boolean"; readonly value: boolean }
  | { readonly kind: "null"; readonly value: null }
);

/** The members of an object by key. Of a key that is given twice, the last one. */
export type JsonMembers = ReadonlyMap<string, JsonNode>;

/** The value of a node as plain data: objects without a prototype, so that `__proto__` is only a key. */
export function plain(node: JsonNode): unknown {
  if (node.kind === "object") {
    const object: Record<string, unknown> = Object.create(null);
    for (const [key, member] of node.value) object[key] = plain(member);
    return object;
  }
  return node.kind === "list" ? node.value.map(plain) : node.value;
}

/** A value, or an empty one in place of a list or object: what a message shows of it. */
export function shallow(node: JsonNode): unknown {
  return node.kind === "object" ? {} : node.kind === "list" ? [] : node.value;
}

/** How far a path could be followed. */
export interface Followed {
  /** The last value on the path that is there. */
  readonly node: JsonNode;
  /** The object or list that it is in. */
  readonly parent: JsonNode | undefined;
  /** The rest of the path, below it. */
  readonly rest: string;
}

/** How many keys are looked up for one path. The path of a setting has a few dots. */
const mostLookups = 1000;

/** Follows a path such as `"front.effect"` or `"speed.levels.3"` as far as it goes. */
export function follow(node: JsonNode, path: string): Followed {
  return seek(node, path, undefined, { left: mostLookups });
}

function seek(
  node: JsonNode,
  path: string,
  parent: JsonNode | undefined,
  lookups: { left: number },
): Followed {
  const here: Followed = { node, parent, rest: path };
  if (!path) return here;
  const whole = childOf(node, path);
  if (whole) return { node: whole, parent: node, rest: "" };
  // A key may itself have a dot: of two ways that lead equally far, the one with the longer first key counts.
  let best = here;
  for (let end = path.indexOf("."); end >= 0 && lookups.left-- > 0; end = path.indexOf(".", end + 1)) {
    const child = childOf(node, path.slice(0, end));
    if (!child) continue;
    const found = seek(child, path.slice(end + 1), node, lookups);
    if (found.rest.length <= best.rest.length) best = found;
  }
  return best;
}

/** A member of an object or an item of a list. */
export function childOf(node: JsonNode, key: string): JsonNode | undefined {
  if (node.kind === "object") return node.value.get(key);
  return node.kind === "list" && /^\d{1,9}$/.test(key) ? node.value[Number(key)] : undefined;
}
