"""The floor: what the libraries themselves need for a site, in a process of its own, with nothing of ours around.

    python -m tests.benchmarks.floor BOOK SAMPLES TARGET

It holds: reading every Markdown file; every YAML event of its front matter by the C loader; its body through the
Markdown parser and renderer with the preset that the tool uses; the tool's own templates, through Jinja with the same
settings, over shown records that were captured beforehand; every file written into a new folder; one sync of the
disk.  It holds no figure, no check, no record, no place of a mistake, no link, and nothing is made of the YAML.

The captured records are a sample that is rendered in turn, as many times as there are formulas, because reading a
thousand of them back would be time that no library needs here.  Of the tool's code only the templates' environment is
used, for its settings and the filters that the templates call; importing it is counted.
"""

from __future__ import annotations

import json
import os
import pickle
import sys
from itertools import cycle
from pathlib import Path
from time import perf_counter

import yaml
from markdown_it import MarkdownIt


def run(book: Path, samples: Path, target: Path) -> dict[str, float]:
    """Make the files of a site from a book and captured records; return seconds for each stage."""
    spent: dict[str, float] = {}
    last = perf_counter()

    def mark(stage: str) -> None:
        nonlocal last
        now = perf_counter()
        spent[stage] = spent.get(stage, 0.0) + now - last
        last = now

    paths = sorted((book / "formulas").rglob("*.md"))
    texts = [path.read_bytes().decode("utf-8") for path in paths]
    mark("read")
    bodies = []
    for text in texts:
        _, front, body = text.split("---\n", 2)
        for _event in yaml.parse(front, yaml.CSafeLoader):
            pass
        bodies.append(body)
    mark("yaml")
    markdown = MarkdownIt("commonmark", {"html": False}).enable("table")
    for body in bodies:
        markdown.render(body)
    mark("markdown")
    captured = pickle.loads(samples.read_bytes())
    mark("samples")
    from bookgen.look.themes import load_theme

    environment = load_theme(book).light
    files: dict[str, bytes] = dict(captured["fixed"])
    styles, scripts = captured["styles"], captured["scripts"]
    for kind, names, pages in captured["kinds"]:
        template = environment.get_template(kind)
        for name, page in zip(names, cycle(pages)):
            files[name] = template.render(page=page, styles=styles, scripts=scripts).encode()
    mark("templates")
    for name, content in files.items():
        path = target / name
        if not path.parent.is_dir():
            path.parent.mkdir(parents=True)
        with open(path, "wb") as file:
            file.write(content)
    os.sync()
    mark("write")
    return spent


if __name__ == "__main__":
    print(json.dumps(run(*(Path(argument) for argument in sys.argv[1:4]))))
