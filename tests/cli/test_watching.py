"""How long a file that changed is left alone before it is read."""

from __future__ import annotations

from pathlib import Path

import pytest

from bookgen.preview import watching
from bookgen.preview.watching import QUIET_S, Watch

FILE = "formulas/a.md"


@pytest.mark.parametrize(
    ("since_s", "gone", "waited_s"),
    [(0.0, False, QUIET_S), (0.6 * QUIET_S, False, 0.4 * QUIET_S), (3 * QUIET_S, False, 0.0), (-5.0, False, QUIET_S),
     (3 * QUIET_S, True, QUIET_S)],
    ids=["just written", "noticed late", "noticed when long at rest", "by a clock ahead of ours", "gone"],
)  # fmt: skip
def test_what_passed_since_the_write_counts_as_waited(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, since_s: float, gone: bool, waited_s: float
) -> None:
    for folder in ("formulas", "themes"):
        (tmp_path / folder).mkdir()
    file = tmp_path / FILE
    file.write_text("x", encoding="utf-8")
    watch, slept = Watch(tmp_path), list[float]()
    written = max(file.stat().st_mtime_ns, file.stat().st_ctime_ns) / 1e9
    assert watch.changed() == {FILE}
    if gone:
        file.unlink()
        assert watch.changed() == {FILE}
    monkeypatch.setattr(watching, "time", lambda: written + since_s)
    monkeypatch.setattr(watching, "sleep", slept.append)
    assert watch.settled({FILE}) == {FILE}
    assert slept == [pytest.approx(waited_s, abs=1e-5)]
