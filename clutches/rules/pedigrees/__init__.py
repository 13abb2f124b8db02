"""Pedigrees: files that tell who descends from whom, and how a pedigree is drawn."""
