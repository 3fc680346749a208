"""``python -m analyzer.hearing.train``: rebuild the tagger and all fitted after it, from the repository.

Stages, in order; all of them by default:

- ``data``: every class in every form and performance, as words and labels; the trimmed word pieces;
- ``crossval``: five taggers, each blind to one fold; their scores of the classes they never saw;
- ``weigh``: levels, lattice and choice weights fitted on those scores, by fold and for all;
- ``final``: the tagger that ships, trained on every class, as int8 ONNX with its SHA-256;
- ``judge``: the table of the whole program on classes left out of everything fitted.

Minutes on a GPU, a day on two cores. Seeds are fixed: a CPU run repeats, a GPU run repeats to rounding.
"""

from __future__ import annotations

import argparse
import hashlib
import json
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import lru_cache, partial
from pathlib import Path

from analyzer.bench.forms import FORMS
from analyzer.bench.score import Case
from analyzer.bench.script import parse
from analyzer.bench.table import table
from analyzer.hearing.train.crossval import LeftOut, read_logits, write_logits
from analyzer.hearing.train.data import Stored, load, save, single_lines
from analyzer.hearing.train.folds import folds

LANGUAGE = Path(__file__).parents[2] / "language" / "en"
CLASSES = LANGUAGE / "classes"
TAGGER = LANGUAGE / "tagger"
LINES, LINE_TEXTS = LANGUAGE / "cue_lines.jsonl", 6
FOLDS = 5


ACCURACY = """# How well it hears

The whole program on {classes} scripted classes, each in four caption forms. For every class the tagger and
all weights after it come from {folds}-fold cross-validation: they were trained and fitted without the class
and without any class of its group (`folds.toml`). Two things were chosen on all classes together: the logit
levels in `thresholds.json` and the few constants that the source names as chosen on classes left out. Cues
and calls count within 4 s (12 s in block transcripts), intervals from half their union on;
`analyzer/bench/score.py` has the rules. The speech is the renderer's: people differ more.

Made by `python -m analyzer.hearing.train judge`, after the stages before it.

## All classes

{pooled}

## Each class

{each}
"""


def data(work: Path, device: str) -> None:
    """Examples and word pieces."""
    from analyzer.hearing.train.source import unpack_encoder
    from analyzer.hearing.train.vocabulary import trimmed

    print(save(CLASSES, work / "examples.npz"), "caption files")
    texts = [" ".join(parse(p).words) for p in sorted(CLASSES.glob("*.class"))]
    texts += [p.read_text(encoding="utf-8") for p in sorted((LANGUAGE / "moves").glob("*.toml"))]
    pieces, kept = trimmed(unpack_encoder(work / "encoder") / "tokenizer.json", texts)
    (TAGGER / "tokenizer.json").write_text(pieces, encoding="utf-8")
    (work / "kept.json").write_text(json.dumps(kept), encoding="ascii")


def _train(work: Path, device: str, left_out: int | None) -> tuple[LeftOut, dict[str, object]]:
    """Train on all but a fold; the scores of that fold, and the network's weights."""
    from analyzer.hearing.pieces import tokenizer
    from analyzer.hearing.train.data import variants
    from analyzer.hearing.train.encoder import pretrained
    from analyzer.hearing.train.fit import Codes, Settings, fit, predict

    coder, settings = tokenizer(), Settings()
    kept = json.loads((work / "kept.json").read_text(encoding="ascii"))
    rows = list(load(work / "examples.npz"))
    where = folds({r.name for r in rows}, FOLDS)
    seen = [r for r in rows if where[r.name] != left_out] + single_lines(LINES, LINE_TEXTS)
    start = partial(pretrained, work / "encoder" / "model.safetensors", kept, settings.dropout)
    codes = Codes.of(coder)
    model = fit(variants(seen, coder), start, settings, codes=codes, device=device)
    unseen = [r for r in rows if where[r.name] == left_out and r.speech == 0]
    scores = {
        (r.name, r.form): predict(
            model, v.pieces, classed=codes.classed, window=settings.window, device=device
        )
        for r, v in zip(unseen, variants(unseen, coder), strict=True)
    }
    return scores, {k: v.cpu().numpy() for k, v in model.state_dict().items()}


def crossval(work: Path, device: str) -> None:
    """Scores of every class by a tagger that never saw it or its like."""
    for fold in range(FOLDS):
        scores, _ = _train(work, device, fold)
        write_logits(work / f"fold{fold}.npz", scores)


def final(work: Path, device: str) -> None:
    """The tagger that ships."""
    from analyzer.hearing.train.encoder import LAYERS
    from analyzer.hearing.train.export import quantised, write_onnx

    _, state = _train(work, device, None)
    write_onnx(quantised(state), TAGGER / "tagger.onnx", LAYERS)  # type: ignore[arg-type]
    digest = hashlib.sha256((TAGGER / "tagger.onnx").read_bytes()).hexdigest()
    (TAGGER / "tagger.sha256").write_text(f"{digest}  tagger.onnx\n", encoding="ascii")


@lru_cache(maxsize=1)
def _scored(work: Path) -> tuple[list[Stored], LeftOut, dict[str, int]]:
    rows = [r for r in load(work / "examples.npz") if r.speech == 0]
    logits = read_logits(work / f"fold{k}.npz" for k in range(FOLDS))
    return rows, logits, folds({r.name for r in rows}, FOLDS)


def _weigh_one(work: Path, fold: int) -> dict[str, object]:
    from analyzer.hearing.train.weigh import Fold, fit_fold

    rows, logits, where = _scored(work)
    kept = [r for r in rows if where[r.name] != fold]
    return fit_fold(Fold(kept, everything=fold == FOLDS), logits, CLASSES, seed=fold)


def weigh(work: Path, device: str) -> None:
    """Levels first, since all that follows listens by them; then weights for each fold and for all."""
    from analyzer.hearing.train.levels import fit_levels

    rows, logits, _ = _scored(work)
    levels = dict(fit_levels(rows, logits))
    (TAGGER / "thresholds.json").write_text(json.dumps(levels, indent=1) + "\n", encoding="ascii")
    with ProcessPoolExecutor() as pool:
        *by_fold, shipped = pool.map(partial(_weigh_one, work), range(FOLDS + 1))
    (work / "weights.json").write_text(json.dumps(by_fold), encoding="ascii")
    (TAGGER / "outline.json").write_text(json.dumps(shipped, indent=1) + "\n", encoding="ascii")


def _judge_one(work: Path, job: tuple[str, str]) -> Case:
    from analyzer.hearing.train.weigh import left_out_case
    from analyzer.outline.weights import from_json

    name, form = job
    _, logits, where = _scored(work)
    weights = from_json(json.loads((work / "weights.json").read_text(encoding="ascii"))[where[name]])
    found, true = left_out_case(CLASSES / f"{name}.class", form, logits[name, form], weights)
    return Case(name, form, found, true)


def judge(work: Path, device: str) -> None:
    """Print the table of left-out classes; write it, with each class, to ``work``."""
    names = sorted(p.stem for p in CLASSES.glob("*.class"))
    jobs = [(n, f) for f in FORMS for n in names]
    with ProcessPoolExecutor() as pool:
        cases = list(pool.map(partial(_judge_one, work), jobs, chunksize=16))
    result = table(cases)
    print(result.markdown())
    (work / "judged.json").write_text(json.dumps(result.as_data(), indent=1), encoding="utf-8")
    pooled, each = result.markdown(), result.each_markdown()
    text = ACCURACY.format(classes=len(names), folds=FOLDS, pooled=pooled, each=each)
    (TAGGER / "ACCURACY.md").write_text(text, encoding="utf-8")


STAGES: dict[str, Callable[[Path, str], None]] = {
    "data": data, "crossval": crossval, "weigh": weigh, "final": final, "judge": judge,
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the stages named, or all."""
    parser = argparse.ArgumentParser(
        prog="python -m analyzer.hearing.train", description=__doc__.split("\n\n")[0]
    )
    parser.add_argument("stages", nargs="*", choices=[*STAGES, []], help="default: all, in order")
    parser.add_argument("--work", type=Path, default=Path(".train"), help="folder for what is in between")
    parser.add_argument("--device", default="cpu", help="cpu or cuda")
    options = parser.parse_args(arguments)
    options.work.mkdir(parents=True, exist_ok=True)
    for stage in options.stages or STAGES:
        print(stage)
        STAGES[stage](options.work, options.device)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
