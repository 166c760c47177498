// Checking an untrusted map of CVs by hand.

/** Everything that is wrong with a map of CVs, or the bytes that it holds. */
export function validate(map) {
  const bytes = new Int16Array(1025).fill(-1);
  const problems = [];
  for (const name of Object.keys(map)) {
    const value = map[name];
    let number = 0;
    for (let i = 0; i < name.length; i++) {
      const digit = name.charCodeAt(i) - 48;
      if (digit < 0 || digit > 9 || (number === 0 && digit === 0)) {
        number = 0;
        break;
      }
      number = number * 10 + digit;
      if (number > 1024) break;
    }
    if (number < 1 || number > 1024) problems.push({ code: "cv", found: name });
    else if (typeof value !== "number" || (value | 0) !== value || value < 0 || value > 255) {
      problems.push({ code: "byte", cv: name, found: value });
    } else bytes[number] = value;
  }
  return problems.length ? { ok: false, problems } : { ok: true, bytes };
}
