/** Text as SVG can hold it: markup escaped, and what XML cannot hold at all replaced. */
export function escaped(text: string): string {
  // What XML 1.0 cannot hold: control characters, halves of a surrogate pair, two noncharacters.
  const broken = /[^\P{Cc}\t\n\r]|\p{Cs}|[\uFFFE\uFFFF]/gu;
  return text
    .replace(broken, "\uFFFD")
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;")
    .replaceAll("'", "&#39;");
}

/** A coordinate: two decimals are far below what an eye can see. */
export function coordinate(value: number): string {
  const text = value.toFixed(2);
  return text.includes(".") ? text.replace(/\.?0+$/, "").replace(/^-0$/, "0") : text;
}

/** A number for people, with at most `decimals` decimals. */
export function plain(value: number, decimals = 1): string {
  return String(Number(value.toFixed(decimals)));
}

/** Round values from 0 to at least `max`, about `count` of them. */
export function ticks(max: number, count: number): number[] {
  if (!(max > 0)) return [0, 1];
  const rough = max / count;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = power * ([1, 2, 5, 10].find((times) => times * power >= rough * 0.999) ?? 10);
  const last = Math.ceil(max / step - 1e-9);
  return Array.from({ length: last + 1 }, (_, i) => Number((i * step).toPrecision(12)));
}

/** The steps that an axis of speed steps names: both ends and three between. */
export function stepTicks(count: number): number[] {
  return [1, Math.round(count / 4), Math.round(count / 2), Math.round((3 * count) / 4), count];
}
