"""Benchmarks: each goal beside its floor, measured in the same run."""
