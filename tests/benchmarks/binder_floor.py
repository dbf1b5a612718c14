"""The floor of the binder: one WeasyPrint pass over all its leaves as one document, with nothing of ours around.

    python -m tests.benchmarks.binder_floor LEAVES TARGET

LEAVES is JSON with the leaves' HTML, their style sheet and their type, as the tool hands them to its press.  Every leaf
is parsed as it is; the bodies then stand one after the other in one document, which is laid out, tagged and written.
Nothing is kept apart, numbered anew, merged or checked.
"""

from __future__ import annotations

import json
import logging
import sys
from pathlib import Path
from time import perf_counter

import cssselect2
from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration


def run(leaves: Path, target: Path) -> dict[str, float]:
    """Write the document; return seconds for each step, and its pages."""
    logging.getLogger("weasyprint").disabled = True  # names of places are in it many times over
    start = perf_counter()
    given = json.loads(leaves.read_text(encoding="utf-8"))
    fonts = FontConfiguration()
    rules = "".join(
        f'@font-face {{ font-family: "{face["family"]}"; src: url("{Path(face["file"]).as_uri()}");'
        f" font-weight: {face['weight']}; font-style: {face['slope']} }}\n"
        for face in given["faces"]
    )
    sheets = [CSS(string=text, font_config=fonts) for text in (rules, given["css"])]
    html = HTML(string=given["html"][0])
    for one in given["html"][1:]:
        html.etree_element.append(HTML(string=one).etree_element.find("body"))
    html.wrapper_element = cssselect2.ElementWrapper.from_html_root(html.etree_element, content_language=None)
    parsed = perf_counter()
    document = html.render(font_config=fonts, stylesheets=sheets, pdf_tags=True)
    laid = perf_counter()
    document.write_pdf(target, pdf_tags=True)
    return {
        "parse": parsed - start,
        "lay out": laid - parsed,
        "write": perf_counter() - laid,
        "pages": len(document.pages),
    }


if __name__ == "__main__":
    print(json.dumps(run(*(Path(argument) for argument in sys.argv[1:3]))))
