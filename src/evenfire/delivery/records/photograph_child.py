"""Run as a program of its own: decodes one photograph within limits, and writes it anew without what it said beside.

Everything that a stranger's file can do to a decoder happens here. It is started by the path of this file, imports
nothing of evenfire, gets the file on its input, and answers on its output.
"""

import io
import sys
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from PIL.Image import Image

MOST_PIXELS: Final = 64_000_000
LONGEST_SIDE: Final = 4_096
"""A larger picture is made smaller; the print on a rating plate stays readable [pixels]."""
MOST_MEMORY: Final = 1_500_000_000
"""[bytes]"""
MOST_SECONDS: Final = 20
"""Of work [s]"""

REFUSED: Final = 3
"""Exit code; the answer is then a word and what was found."""
NO_IMAGE: Final = "no-image"
TOO_MANY_PIXELS: Final = "too-many-pixels"
DAMAGED: Final = "damaged"

_FORMATS: Final = ("JPEG", "PNG", "WEBP")
_QUALITY: Final = 85
_LOSSLESS: Final = frozenset({"PNG"})


class Refused(Exception):
    """The picture is not taken: a word, and what was found."""


def limit_this_process() -> None:
    """Memory, work and files that this process may use from now on."""
    if sys.platform == "win32":
        return
    import resource

    for limit, most in (
        (resource.RLIMIT_AS, MOST_MEMORY),
        (resource.RLIMIT_CPU, MOST_SECONDS),
        (resource.RLIMIT_FSIZE, 0),
        (resource.RLIMIT_CORE, 0),
    ):
        resource.setrlimit(limit, (most, most))


def written_anew(content: bytes) -> tuple[str, bytes]:
    """Kind and content of the picture: upright, no larger than wanted, and nothing else in it.

    Raises
    ------
    Refused
        It is no image, has too many pixels, or its data is damaged.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError

    # The size is looked at below, before anything is decoded; this limit would only warn.
    Image.MAX_IMAGE_PIXELS = None
    try:
        with Image.open(io.BytesIO(content), formats=_FORMATS) as picture:
            width, height = picture.size
            if width * height > MOST_PIXELS:
                raise Refused(f"{TOO_MANY_PIXELS} {width} x {height}")
            is_lossless = picture.format in _LOSSLESS
            picture.load()
            upright = ImageOps.exif_transpose(picture)
    except UnidentifiedImageError as error:
        raise Refused(NO_IMAGE) from error
    except (OSError, ValueError, SyntaxError, EOFError, ArithmeticError, LookupError, TypeError) as error:
        raise Refused(f"{DAMAGED} {type(error).__name__}") from error
    return _encoded(upright, is_lossless=is_lossless)


def _encoded(picture: "Image", *, is_lossless: bool) -> tuple[str, bytes]:
    picture.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    has_holes = picture.has_transparency_data
    mode = ("RGBA" if has_holes else "L" if picture.mode in {"1", "L"} else "RGB") if is_lossless else "RGB"
    if has_holes and not is_lossless:
        mode = "RGBA"
    plain = picture.convert(mode)
    # Comments, places, owners, thumbnails and colour profiles are all kept here by the decoder.
    plain.info = {}
    file = io.BytesIO()
    if is_lossless or has_holes:
        plain.save(file, "PNG", optimize=False)
        return "image/png", file.getvalue()
    plain.save(file, "JPEG", quality=_QUALITY, optimize=True)
    return "image/jpeg", file.getvalue()


def main() -> int:
    """Read the picture, answer, and say by the exit code how it went."""
    limit_this_process()
    content = sys.stdin.buffer.read()
    try:
        kind, anew = written_anew(content)
    except Refused as refused:
        sys.stdout.buffer.write(str(refused).encode("ascii", errors="replace"))
        return REFUSED
    sys.stdout.buffer.write(kind.encode() + b"\n" + anew)
    return 0


if __name__ == "__main__":
    sys.exit(main())
