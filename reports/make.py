"""Make the two sample pages beside this script from the captions in ``sample_captions/``.

    python reports/make.py

The same captions and the same program give the same bytes.
"""

from __future__ import annotations

from pathlib import Path

from analyzer.report import write
from analyzer.review import review

HERE = Path(__file__).parent
SAMPLES = HERE.parent / "sample_captions"
CAPTIONS = ("first_take.vtt", "retake.srt")


def main() -> None:
    for name in CAPTIONS:
        captions = SAMPLES / name
        page = HERE / f"{captions.stem}.html"
        write(review(captions), page)
        print(page)


if __name__ == "__main__":
    main()
