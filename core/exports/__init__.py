"""Exports: tables as CSV, NDJSON and Parquet, written while they are read (ADR 0021)."""
