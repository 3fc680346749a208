"""Scripted classes with known truth: speak them, analyse the captions, score the analysis."""
