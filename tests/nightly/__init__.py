"""One story for each scheduled task: run twice, same answer."""
