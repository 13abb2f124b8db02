"""QR codes as drawings for papers."""

import segno

# Readable by a phone's camera where a corner is wet or torn.
ERROR_CORRECTION = "m"


def qr_code(text: str) -> str:
    """Return a QR code as SVG data to be shown as an image.

    Args:
        text: what a camera reads; at most about 2000 letters.
    """
    # Left to itself the library writes Latin-1, which cameras take for another alphabet.
    code = segno.make(text, error=ERROR_CORRECTION, micro=False, encoding="utf-8")
    return code.svg_data_uri(scale=1, border=2, dark="#000", light="#fff")
