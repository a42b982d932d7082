"""What a picture needs before it is charted: how to turn it upright, and the ground behind its transparent parts."""

from typing import TYPE_CHECKING

from benchmate.picture.bad_image import DAMAGED, BadImage

if TYPE_CHECKING:
    from PIL.Image import Image, Transpose

# Exif 2.3, 4.6.4, tag 0x0112: how to turn the picture upright.
_ORIENTATION = 0x0112
_UPRIGHT = {
    2: "FLIP_LEFT_RIGHT",
    3: "ROTATE_180",
    4: "FLIP_TOP_BOTTOM",
    5: "TRANSPOSE",
    6: "ROTATE_270",
    7: "TRANSVERSE",
    8: "ROTATE_90",
}


def turn_of(image: "Image") -> "Transpose | None":
    """How to turn the image upright; None when it is."""
    from PIL import Image

    try:
        orientation = image.getexif().get(_ORIENTATION)
    except Exception:
        # If the camera's record cannot be read, for whatever reason, the picture is used as stored.
        return None
    how = _UPRIGHT.get(orientation) if isinstance(orientation, int) else None
    return None if how is None else Image.Transpose[how]


def refuse_measurements(image: "Image") -> None:
    """Raises BadImage when the image has no colours."""
    if image.mode == "F" or (image.mode == "I" and image.format == "TIFF"):
        raise BadImage("this picture has measurements instead of colours: save it as PNG with 8 bits per channel")


def on_ground(image: "Image", ground: str) -> "Image":
    """The image in mode RGB, with a colour behind transparent parts; raises BadImage when it cannot be read."""
    from PIL import Image

    refuse_measurements(image)
    if image.mode.startswith("I"):
        # 16 bits per pixel: keep the upper 8.
        image = image.convert("I").point([level >> 8 for level in range(65_536)], "L")
        image.info.pop("transparency", None)
    try:
        if not image.has_transparency_data:
            return image.convert("RGB")
        seen = image.convert("RGBA")
    except Exception:
        # An invalid palette or mask is noticed only here, and a decoder can raise anything.
        raise BadImage(DAMAGED) from None
    flat = Image.new("RGB", seen.size, ground)
    flat.paste(seen, mask=seen.getchannel("A"))
    return flat
