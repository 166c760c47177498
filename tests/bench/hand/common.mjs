// What the readers and writers by hand share: range checks that throw, and random bytes for tests.

/** Throws; by hand one line of text is error enough. */
export function bad(text) {
  throw new RangeError(text);
}

/** A whole number in a range. */
export function ranged(value, min, max) {
  if (typeof value !== "number" || (value | 0) !== value || value < min || value > max) bad(`${value}`);
  return value;
}

/** A flag as the bit that it sets. */
export function bit(value, mask) {
  if (typeof value !== "boolean") bad(`${value}`);
  return value ? mask : 0;
}

/** The names of the bits that are set, lowest first. */
export function namesOf(byte, names) {
  const list = [];
  for (let i = 0; i < names.length; i++) if (byte & (1 << i)) list.push(names[i]);
  return list;
}

/** The byte in which the bits of these names are set. */
export function bitsOf(list, names) {
  if (!Array.isArray(list)) bad(`${list}`);
  let byte = 0;
  for (let i = 0; i < list.length; i++) {
    const at = names.indexOf(list[i]);
    if (at < 0 || byte & (1 << at)) bad(`${list[i]}`);
    byte |= 1 << at;
  }
  return byte;
}

/** The number of an option. */
export function option(numbers, name) {
  return numbers.get(name) ?? bad(`${name}`);
}

/** The option of a number. */
export function nameOf(names, number) {
  return names[number] ?? bad(`${number}`);
}

/** Both directions of a choice: names by number and numbers by name. */
export function options(numbers) {
  const names = [];
  for (const [name, number] of Object.entries(numbers)) names[number] = name;
  return [names, new Map(Object.entries(numbers))];
}

/** Random whole numbers below a limit, the same for the same seed. */
export function random(seed) {
  let state = Math.imul(seed + 1, 0x9e3779b1) >>> 0;
  return (below) => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return Math.floor((state / 2 ** 32) * below);
  };
}

/** CVs 1-1024, every bit random. */
export function randomBytes(next) {
  const bytes = new Uint8Array(1025);
  for (let i = 1; i <= 1024; i++) bytes[i] = next(256);
  return bytes;
}
