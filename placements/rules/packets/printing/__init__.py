"""A packet's document as the rows, drawings and words of a printed booklet."""
