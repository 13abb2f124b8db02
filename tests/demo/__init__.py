"""The demo: its climate, its files, and that its faults are found and nothing else."""
