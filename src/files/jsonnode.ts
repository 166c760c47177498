/** A value of a JSON text, with its place: `start` and `end` are offsets, `end` is behind it. */
export type JsonNode = {
  readonly start: number;
  readonly end: number;
} & (
  | { readonly kind: "object"; readonly members: ReadonlyMap<string, JsonMember> }
  | { readonly kind: "array"; readonly items: readonly JsonNode[] }
  | { readonly kind: "string"; readonly value: string }
  | {
      readonly kind: "number";
      readonly value: number;
      /** As it was written: `1e400`, `-0` and `3.0` can be told from other spellings. */
      readonly source: string;
    }
  | { readonly kind: "boolean"; readonly value: boolean }
  | { readonly kind: "null"; readonly value: null }
);

/** One key of an object and its value. Of a key that stands twice, the last value. */
export interface JsonMember {
  /** The offset of the key. */
  readonly start: number;
  /** The value. */
  readonly value: JsonNode;
}

/** The value of a node as plain data. */
export function plain(node: JsonNode): unknown {
  switch (node.kind) {
    case "object": {
      const object: Record<string, unknown> = Object.create(null);
      for (const [key, { value }] of node.members) object[key] = plain(value);
      return object;
    }
    case "array":
      return node.items.map(plain);
    default:
      return node.value;
  }
}

/** The offset of what a path leads to, or of the last thing on the way that is there. */
export function find(node: JsonNode, path: string): number {
  return seek(node, path).offset;
}

/** How far a path can be followed, and how much of it is left then. */
function seek(node: JsonNode, path: string): { offset: number; left: number } {
  let best = { offset: node.start, left: path.length };
  // A key may itself hold a dot, so the longest key that fits is tried first.
  for (let end = path.length; end > 0 && best.left > 0; end = path.lastIndexOf(".", end - 1)) {
    const key = path.slice(0, end);
    const rest = path.slice(end + 1);
    let found: typeof best | undefined;
    if (node.kind === "object") {
      const member = node.members.get(key);
      if (member) found = rest ? seek(member.value, rest) : { offset: member.start, left: 0 };
      // The key is where the eye looks for the value.
      if (member && found?.offset === member.value.start) found.offset = member.start;
    } else if (node.kind === "array" && /^\d+$/.test(key)) {
      const item = node.items[Number(key)];
      if (item) found = seek(item, rest);
    }
    if (found && found.left < best.left) best = found;
  }
  return best;
}
