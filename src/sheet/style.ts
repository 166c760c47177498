// One style for screen, phone and paper, light and dark. Ruled sections, no boxes, no pictures but the speed curve.

const ink = { paper: "#ffffff", ink: "#191b1f", soft: "#555b64", line: "#c6cad0", mark: "#f4efdf" };
const night = { paper: "#14161a", ink: "#e8eaed", soft: "#a7aeb8", line: "#3b424b", mark: "#2e2a1c" };

const colours = (set: typeof ink): string =>
  Object.entries(set)
    .map(([name, value]) => `--${name}:${value}`)
    .join(";");

/** The style of a sheet in HTML. */
export const style: string = /* @__PURE__ */ styleText();

function styleText(): string {
  return [
    `:root{color-scheme:light dark;${colours(ink)}}`,
    `@media (prefers-color-scheme:dark){:root{${colours(night)}}}`,
    "*{box-sizing:border-box}",
    "html{-webkit-text-size-adjust:100%}",
    "body{margin:0;background:var(--paper);color:var(--ink);font:15px/1.4 system-ui,'Liberation Sans','DejaVu Sans',sans-serif;overflow-wrap:break-word}",
    "main{max-width:74rem;margin:0 auto;padding:1.25rem 1rem 3rem}",
    "h1,.sheet h2.name{margin:0;font:700 2.1rem/1.1 Charter,Georgia,'Liberation Serif',serif;letter-spacing:-.01em}",
    ".kind{margin:0 0 .15rem;color:var(--soft)}",
    ".contents ul{margin:.75rem 0 0;padding:0;list-style:none;columns:16rem}",
    "a{color:inherit}",
    // Only what is long without a blank, so that other words stay whole in narrow columns.
    "bdi{overflow-wrap:anywhere}",
    ".sheet{margin-top:1.25rem}",
    ".sheet+.sheet{margin-top:3.5rem}",
    ".parts{columns:2 26rem;column-gap:2.5rem;margin-top:1rem}",
    "section{margin:0 0 1.3rem;border-top:2px solid var(--ink);padding-top:.3rem}",
    ".parts section{break-inside:avoid}",
    ".part{margin:0 0 .4rem;font-size:1rem;line-height:1.3;font-weight:700}",
    "dl{margin:0;display:grid;grid-template-columns:minmax(7rem,max-content) 1fr;gap:.12rem .9rem}",
    "dt{color:var(--soft);max-width:16rem}",
    "dd{margin:0}",
    "table{border-collapse:collapse;width:100%}",
    "th,td{text-align:left;vertical-align:top;padding:.16rem .7rem .16rem 0;border-bottom:1px solid var(--line);font-weight:400}",
    "th:last-child,td:last-child{padding-right:0}",
    "thead th{color:var(--soft);font-size:.84rem;white-space:nowrap}",
    "tbody th{font-weight:600;white-space:nowrap}",
    ".list tbody th{font-variant-numeric:tabular-nums}",
    ".list th:last-child{width:100%}",
    "p,ul{margin:.35rem 0 0}",
    "section>p{color:var(--soft);font-size:.88rem}",
    "ul{padding-left:1.1rem}",
    "svg{display:block;width:100%;max-width:40rem;height:auto;margin-top:.5rem}",
    // The list of CVs: figures of equal width, and as many columns as there is room for.
    ".list{columns:2 30rem;column-gap:2.5rem}",
    ".list table{font-size:.86rem}",
    ".list th,.list td{padding-right:.6rem}",
    ".list td:nth-child(-n+5){font-variant-numeric:tabular-nums;white-space:nowrap}",
    ".list td:nth-child(3),.list td:nth-child(4){font-family:ui-monospace,'Liberation Mono',monospace;font-size:.95em}",
    ".list tr>:nth-child(2),.list tr>:nth-child(5){text-align:right}",
    ".list tr{break-inside:avoid}",
    ".changed>*{background:var(--mark)}",
    ".changed>:nth-child(2){font-weight:700}",
    // On a phone the words of a CV stand below its numbers.
    "@media (max-width:34rem){body{font-size:14px}h1,.sheet h2.name{font-size:1.7rem}th,td{padding-right:.5rem}tbody th{white-space:normal}",
    "dl{grid-template-columns:minmax(5.5rem,38%) 1fr}",
    ".many,.many tbody,.many tr,.many tbody th,.many td{display:block}",
    ".many thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}",
    ".many tr{border-bottom:1px solid var(--line);padding:.3rem 0}.many th,.many td{border:0;padding:0}",
    ".many td::before{content:attr(data-column) ': ';color:var(--soft)}",
    ".list table,.list thead,.list tbody{display:block}",
    ".list tr{display:grid;grid-template-columns:5.2rem 2.6rem 2.2rem 5.4rem 1fr;border-bottom:1px solid var(--line);padding:.15rem 0}",
    ".list th,.list td{border:0;padding:0 .5rem 0 0}.list tr>:last-child{grid-column:1/-1}}",
    "@page{margin:11mm 12mm}",
    `@media print{:root{color-scheme:light;${colours(ink)}}`,
    "body{font-size:7.9pt;line-height:1.25}main{max-width:none;padding:0}",
    "h1,.sheet h2.name{font-size:17pt}.sheet{margin-top:.5rem}.sheet+.sheet{margin-top:0;break-before:page}.contents{display:none}",
    ".parts{columns:2;column-gap:9mm;margin-top:.6rem}section{margin-bottom:.65rem;border-top-width:1.2pt}.part{font-size:9pt;margin-bottom:.15rem;break-after:avoid}",
    "th,td{padding-top:.5pt;padding-bottom:.5pt}thead th{font-size:7.2pt}",
    ".list{columns:2;column-gap:9mm}.list table{font-size:6.4pt;line-height:1.15}.list thead th{font-size:6.2pt}.list th,.list td{padding:.1pt 4pt .1pt 0}",
    "section>p{font-size:7.2pt}.changed>*{background:none}.changed>:nth-child(2){text-decoration:underline}svg{max-width:78mm}}",
  ].join("\n");
}
