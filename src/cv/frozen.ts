/**
 * A copy of plain data, frozen through and through, so that no caller changes what others use.
 * @param value Objects without a class, lists, and what stands in them; functions are kept as they are.
 */
/* @__NO_SIDE_EFFECTS__ */
export function frozenCopy<T>(value: T): T {
  if (typeof value !== "object" || value === null) return value;
  const copy: unknown = Array.isArray(value)
    ? value.map(frozenCopy)
    : Object.fromEntries(Object.entries(value).map(([key, item]) => [key, frozenCopy(item)]));
  // The copy has the same keys and items.
  return Object.freeze(copy) as T;
}
