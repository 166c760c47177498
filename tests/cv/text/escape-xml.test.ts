import fc from "fast-check";
import { XMLParser } from "fast-xml-parser";
import { expect, it } from "vitest";
import { escapeXml } from "../../../src/cv/text/escape-xml.js";

it("escapes markup, and replaces what XML cannot hold", () => {
  expect(escapeXml(`<a href="x">'&'</a>`)).toBe("&lt;a href=&quot;x&quot;&gt;&#39;&amp;&#39;&lt;/a&gt;");
  expect(escapeXml("a\u0000b\u001fc\u0085d\ud800e\uffff")).toBe("a\ufffdb\ufffdc\ufffdd\ufffde\ufffd");
  expect(escapeXml("tab\tline\n😀")).toBe("tab\tline\n😀");
});

it("is undone by a reader of XML", () => {
  const parser = new XMLParser({ trimValues: false, parseTagValue: false, htmlEntities: true });
  fc.assert(
    fc.property(
      fc.string({ unit: fc.constantFrom("<", ">", "&", '"', "'", "]]>", "a", "é", "&amp;") }),
      (text) => {
        expect(parser.parse(`<a>${escapeXml(text)}.</a>`).a).toBe(`${text}.`);
      },
    ),
  );
});
