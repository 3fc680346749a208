"""From a trained network to the two files that the program runs: int8 weights, and an ONNX graph around them.

Weights are stored as int8 with one scale a row (symmetric, largest magnitude 127); the graph turns them back
into floats, so results do not depend on how a processor multiplies small integers. Everything else stays
float32. The graph is written by hand: it holds standard operators only (opset 17) and no code.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from analyzer.hearing.train.encoder import HEADS, HIDDEN

__all__ = ["graph", "quantised", "write_onnx"]

Arrays = dict[str, npt.NDArray[Any]]
OPSET = 17


def quantised(state: Arrays) -> Arrays:
    """int8 rows and float scales of every matrix; vectors as they are, in float32."""
    out: Arrays = {}
    for name, value in state.items():
        value = np.asarray(value, dtype=np.float32)
        if value.ndim < 2:
            out[name] = value
            continue
        scale = np.maximum(np.abs(value).max(axis=1), 1e-8) / 127.0
        out[name] = np.clip(np.round(value / scale[:, None]), -127, 127).astype(np.int8)
        out[name + ".scale"] = scale.astype(np.float32)
    return out


class _Graph:
    """Nodes and initializers, named as they come."""

    def __init__(self, arrays: Arrays) -> None:
        self.arrays = arrays
        self.nodes: list[Any] = []
        self.values: dict[str, npt.NDArray[Any]] = {}
        self.count = 0

    def constant(self, value: npt.ArrayLike, kind: Any = np.int64) -> str:
        array = np.asarray(value, dtype=kind)
        name = f"c{len(self.values)}"
        self.values[name] = array
        return name

    def op(self, kind: str, *inputs: str, **attributes: Any) -> str:
        from onnx import helper

        self.count += 1
        out = f"{kind.lower()}{self.count}"
        self.nodes.append(helper.make_node(kind, list(inputs), [out], **attributes))
        return out

    def stored(self, name: str) -> str:
        self.values[name] = self.arrays[name]
        return name

    def rows(self, table: str, index: str) -> str:
        """Rows of an int8 table, as floats."""
        taken = self.op("Cast", self.op("Gather", self.stored(table), index), to=1)
        scale = self.op("Gather", self.stored(table + ".scale"), index)
        return self.op("Mul", taken, self.op("Unsqueeze", scale, self.constant([-1])))

    def linear(self, x: str, name: str) -> str:
        weight = self.op(
            "DequantizeLinear", self.stored(f"{name}.weight"), self.stored(f"{name}.weight.scale"), axis=0
        )
        turned = self.op("Transpose", weight, perm=[1, 0])
        return self.op("Add", self.op("MatMul", x, turned), self.stored(f"{name}.bias"))

    def norm(self, x: str, name: str) -> str:
        return self.op(
            "LayerNormalization",
            x,
            self.stored(f"{name}.weight"),
            self.stored(f"{name}.bias"),
            axis=-1,
            epsilon=1e-12,
        )

    def gelu(self, x: str) -> str:
        half = self.op("Mul", x, self.constant(0.5, np.float32))
        grown = self.op("Erf", self.op("Mul", x, self.constant(1 / np.sqrt(2), np.float32)))
        return self.op("Mul", half, self.op("Add", grown, self.constant(1.0, np.float32)))

    def layer(self, x: str, bias: str, name: str) -> str:
        size = HIDDEN // HEADS
        split = self.op("Reshape", self.linear(x, f"{name}.qkv"), self.constant([0, 0, 3, HEADS, size]))
        q, k, v = (
            self.op("Transpose", self.op("Gather", split, self.constant(i), axis=2), perm=[0, 2, 1, 3])
            for i in range(3)
        )
        score = self.op("MatMul", q, self.op("Transpose", k, perm=[0, 1, 3, 2]))
        score = self.op("Add", self.op("Mul", score, self.constant(size**-0.5, np.float32)), bias)
        mixed = self.op("MatMul", self.op("Softmax", score, axis=-1), v)
        mixed = self.op(
            "Reshape", self.op("Transpose", mixed, perm=[0, 2, 1, 3]), self.constant([0, 0, HIDDEN])
        )
        x = self.norm(self.op("Add", x, self.linear(mixed, f"{name}.out")), f"{name}.norm1")
        up = self.gelu(self.linear(x, f"{name}.up"))
        return self.norm(self.op("Add", x, self.linear(up, f"{name}.down")), f"{name}.norm2")


def graph(arrays: Arrays, layers: int) -> Any:
    """The ONNX model: ids, pause (batch, length) int64 and mask (batch, length) float in, logits out."""
    from onnx import TensorProto, helper, numpy_helper

    g = _Graph(arrays)
    length = g.op("Gather", g.op("Shape", "ids"), g.constant(1))
    where = g.op("Range", g.constant(0), length, g.constant(1))
    x = g.op("Add", g.rows("pieces.weight", "ids"), g.rows("pauses.weight", "pause"))
    x = g.norm(g.op("Add", x, g.rows("positions.weight", where)), "norm")
    # 0 where there is a piece, a large negative number where there is none
    gap = g.op("Mul", g.op("Sub", "mask", g.constant(1.0, np.float32)), g.constant(1e4, np.float32))
    bias = g.op("Unsqueeze", gap, g.constant([1, 2]))
    for i in range(layers):
        x = g.layer(x, bias, f"layers.{i}")
    g.nodes.append(helper.make_node("Identity", [g.linear(x, "head")], ["logits"]))
    shape = ["batch", "length"]
    inputs = [
        helper.make_tensor_value_info("ids", TensorProto.INT64, shape),
        helper.make_tensor_value_info("pause", TensorProto.INT64, shape),
        helper.make_tensor_value_info("mask", TensorProto.FLOAT, shape),
    ]
    outputs = [helper.make_tensor_value_info("logits", TensorProto.FLOAT, [*shape, None])]
    values = [numpy_helper.from_array(np.asarray(v, order="C"), n) for n, v in g.values.items()]
    made = helper.make_graph(g.nodes, "tagger", inputs, outputs, values)
    return helper.make_model(made, opset_imports=[helper.make_opsetid("", OPSET)], ir_version=9)


def write_onnx(arrays: Arrays, path: Path, layers: int) -> None:
    """Write the model file."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(graph(arrays, layers).SerializeToString())
