"""Applications: what is asked, what is looked into, and which animal may fit."""
