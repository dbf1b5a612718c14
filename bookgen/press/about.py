"""What a document says of itself, in both forms a PDF has for it."""

from __future__ import annotations

from dataclasses import dataclass
from xml.sax.saxutils import escape

from .objects import words


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """What a document says of itself."""

    title: str
    """Its title."""
    lang: str
    """Its language, a BCP 47 tag."""
    author: str
    """Who keeps it, or empty."""
    date: str
    """Its day by ISO 8601, or empty; there is no other date in it."""
    producer: str
    """What made it."""

    def entries(self) -> dict[str, bytes]:
        """The information dictionary (ISO 32000-1, 14.3.3)."""
        found = {"Title": self.title, "Author": self.author, "Producer": self.producer}
        if self.date:
            found["CreationDate"] = "D:" + self.date.replace("-", "")
        return {name: words(text) for name, text in found.items() if text}

    def xmp(self, *, tagged: bool) -> str:
        """The same as XMP (ISO 16684-1), with nothing in it that changes from run to run.

        A tagged document says that it keeps to PDF/UA-1 (ISO 14289-1, clause 5).
        """
        lines = [
            '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>',
            '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">',
            '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"',
            ' xmlns:pdf="http://ns.adobe.com/pdf/1.3/" xmlns:xmp="http://ns.adobe.com/xap/1.0/">',
            "<dc:format>application/pdf</dc:format>",
            f'<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{escape(self.title)}</rdf:li></rdf:Alt></dc:title>',
            f"<dc:language><rdf:Bag><rdf:li>{escape(self.lang)}</rdf:li></rdf:Bag></dc:language>",
            f"<pdf:Producer>{escape(self.producer)}</pdf:Producer>",
        ]
        if tagged:
            lines.append('<pdfuaid:part xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/">1</pdfuaid:part>')
        if self.author:
            lines.append(f"<dc:creator><rdf:Seq><rdf:li>{escape(self.author)}</rdf:li></rdf:Seq></dc:creator>")
        if self.date:
            lines.append(f"<xmp:CreateDate>{escape(self.date)}</xmp:CreateDate>")
        lines += ["</rdf:Description>", "</rdf:RDF></x:xmpmeta>", '<?xpacket end="r"?>']
        return "\n".join(lines)
