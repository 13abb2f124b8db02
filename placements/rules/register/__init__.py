"""The register of comings and goings: what happened, and which lines say so."""
