"""Colour and depth: against ImageCms at full size, OpenCV's own decoders and the published formulas."""

from __future__ import annotations

import struct
import warnings
import zlib
from io import BytesIO

import cv2
import numpy as np
import pytest
from PIL import Image, ImageCms

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # it says that drawing is not available
    import colour

from dossier.errors import PictureError
from dossier.pictures.decode import decode
from dossier.pictures.profile import ADOBE_RGB, ADOBE_RGB_GAMMA, P3, matrix_profile

SRGB = ImageCms.createProfile("sRGB")


def saved(image, kind, **options):
    out = BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def by_imagecms(image, profile, intent=ImageCms.Intent.RELATIVE_COLORIMETRIC):
    source = ImageCms.ImageCmsProfile(BytesIO(profile))
    flags = ImageCms.Flags.BLACKPOINTCOMPENSATION
    out = ImageCms.profileToProfile(
        image, source, SRGB, outputMode="RGB", renderingIntent=intent, flags=flags
    )
    return np.asarray(out)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF"])
@pytest.mark.parametrize("space", ["phone", "adobe"])
def test_wide_gamut_is_converted_at_full_size(scene, shown, pixels, decibels, phone_profile, kind, space):
    profile = phone_profile if space == "phone" else matrix_profile(ADOBE_RGB, ADOBE_RGB_GAMMA)
    content = saved(scene, kind, icc_profile=profile, **({"quality": 97} if kind == "JPEG" else {}))
    with Image.open(BytesIO(content)) as image:
        unconverted = np.asarray(image)
        expected = by_imagecms(image, profile)
    made = pixels(shown(content, name="a." + kind.lower()).jpeg)
    assert decibels(made, expected) > 36
    assert decibels(unconverted, expected) < 30  # so the conversion matters here


def test_wide_gamut_scaled_down_is_close_to_converting_first(data, shown, pixels, decibels, phone_profile):
    with Image.open(data / "rockery.jpg") as image:
        content = saved(image, "JPEG", quality=95, icc_profile=phone_profile)
    with Image.open(BytesIO(content)) as image:
        whole = by_imagecms(image, phone_profile)
    made = pixels(shown(content, long_side=800).jpeg)
    expected = cv2.resize(whole, (800, 600), interpolation=cv2.INTER_AREA)
    assert decibels(made, expected) > 35


def test_heic_with_profile(scene, shown, pixels, decibels, phone_profile):
    import pillow_heif  # noqa: PLC0415 - native library, only here

    pillow_heif.register_heif_opener()
    content = saved(scene, "HEIF", quality=95, icc_profile=phone_profile)
    with Image.open(BytesIO(content)) as image:
        expected = by_imagecms(image, phone_profile)
    assert decibels(pixels(shown(content, name="a.heic").jpeg), expected) > 36


def test_heic_that_only_names_its_primaries(scene, shown, pixels, decibels, phone_profile):
    """ISO/IEC 23091-2 code 12 is P3 with D65: the same picture as with the phone's own profile."""
    import pillow_heif  # noqa: PLC0415 - native library, only here

    pillow_heif.register_heif_opener()
    named = saved(scene, "HEIF", quality=95, color_primaries=12, transfer_characteristics=13)
    carried = saved(scene, "HEIF", quality=95, icc_profile=phone_profile)
    one, other = (pixels(shown(content, name="a.heic").jpeg) for content in (named, carried))
    assert decibels(one, other) > 36
    assert decibels(one, np.asarray(scene)) < 30


@pytest.mark.parametrize("transfer", [16, 18])
def test_heic_of_high_range_is_refused_and_not_shown_pale(shown, transfer):
    """ISO/IEC 23091-2, table 3: PQ and HLG, as some cameras save HDR. With an ICC profile that one counts."""
    import pillow_heif  # noqa: PLC0415 - native library, only here

    pillow_heif.register_heif_opener()
    grey = Image.new("RGB", (64, 64), (90, 90, 90))
    content = saved(grey, "HEIF", quality=90, color_primaries=9, transfer_characteristics=transfer)
    with pytest.raises(PictureError, match="high range"):
        shown(content, name="a.heic")


def with_chunks(image, *chunks):
    """A PNG with these chunks (kind, content) before its pixels."""
    content = saved(image, "PNG")
    made = b"".join(
        struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        for kind, body in chunks
    )
    return content[:33] + made + content[33:]


def numbers(*values):
    return struct.pack(f">{len(values)}I", *(round(v * 100_000) for v in values))


# PNG, third edition: 11.3.2.6 (cICP, by code points of ITU-T H.273, RGB at full range), 11.3.2.1 and
# 11.3.2.2 (white, red, green, blue; the power a sample was raised to), 11.3.2.5 (what stands beside sRGB).
P3_CODES = (b"cICP", bytes([12, 13, 0, 1]))
SRGB_PLACES = (b"cHRM", numbers(0.3127, 0.329, 0.64, 0.33, 0.3, 0.6, 0.15, 0.06))
SRGB_POWER = (b"gAMA", numbers(0.45455))


@pytest.mark.parametrize(
    ("chunks", "space", "power"),
    [
        ([P3_CODES], "Display P3", None),
        ([(b"cICP", bytes([9, 4, 0, 1]))], "ITU-R BT.2020", 2.2),
        ([P3_CODES, (b"gAMA", numbers(1.0)), SRGB_PLACES], "Display P3", None),
        ([(b"gAMA", numbers(1 / 1.8))], "sRGB", 1.8),
        (
            [
                (b"gAMA", numbers(256 / 563)),
                (b"cHRM", numbers(0.3127, 0.329, 0.64, 0.33, 0.21, 0.71, 0.15, 0.06)),
            ],
            "Adobe RGB (1998)",
            563 / 256,
        ),
        (
            [
                (b"gAMA", numbers(1 / 1.8)),
                (b"cHRM", numbers(0.3457, 0.3585, 0.7347, 0.2653, 0.1596, 0.8404, 0.0366, 0.0001)),
            ],
            "ROMM RGB",
            1.8,
        ),
    ],
)
def test_png_that_states_its_colours_in_numbers(chunks, space, power):
    """Against colour-science: its spaces, by the same curve and adaptation, on colours that sRGB holds."""
    stated, srgb = colour.RGB_COLOURSPACES[space], colour.RGB_COLOURSPACES["sRGB"]
    wanted = np.array([[200, 120, 90], [128, 128, 128], [60, 90, 140], [90, 150, 90], [30, 34, 40]])
    linear = colour.RGB_to_RGB(
        colour.models.eotf_sRGB(wanted / 255), srgb, stated, "Bradford", apply_cctf_encoding=False
    )
    typed = linear ** (1 / power) if power else colour.models.eotf_inverse_sRGB(linear)
    image = Image.fromarray(np.round(typed * 255).astype(np.uint8)[None])
    made = decode(with_chunks(image, *chunks), 1, 100)[0].astype(int)
    assert np.abs(made - wanted).max() <= 2  # both ways are rounded to 8 bits
    assert np.abs(np.asarray(image)[0].astype(int) - wanted).max() > 5  # so it matters here


@pytest.mark.parametrize(
    "chunks",
    [
        [(b"sRGB", b"\0"), (b"gAMA", numbers(1.0))],
        [SRGB_POWER, SRGB_PLACES],
        [SRGB_POWER],
        [(b"cICP", bytes([1, 13, 0, 1]))],
        [(b"gAMA", bytes(4)), (b"cHRM", bytes(32))],
        [(b"gAMA", b"\xff" * 4), (b"cHRM", b"\xff" * 32)],
        [(b"gAMA", b"\0\0\0\1"), (b"cHRM", numbers(*[0.3] * 8))],
        [(b"cHRM", numbers(0.3127, 0.329, *[0.33] * 6)), (b"cICP", b"\x0c")],
    ],
)
def test_png_that_states_srgb_or_what_cannot_be_is_srgb(scene, chunks):
    assert np.array_equal(decode(with_chunks(scene, *chunks), 1, 400), np.asarray(scene))


@pytest.mark.parametrize("transfer", [16, 18])
def test_png_of_high_range_is_refused_and_not_shown_pale(scene, transfer):
    with pytest.raises(PictureError, match="high range"):
        decode(with_chunks(scene, (b"cICP", bytes([9, transfer, 0, 1]))), 1, 400)


def test_camera_that_says_adobe_rgb_in_exif_only(scene, shown, pixels, decibels):
    """DCF 2.0: ColorSpace "uncalibrated" and interoperability index R03."""
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0xA001] = 0xFFFF
    exif.get_ifd(0xA005)[1] = "R03"
    exif.get_ifd(0x8769)[0xA005] = exif.get_ifd(0xA005)
    content = saved(scene, "JPEG", quality=97, exif=exif)
    with Image.open(BytesIO(content)) as image:
        assert image.getexif().get_ifd(0xA005).get(1) == "R03"
        expected = by_imagecms(image, matrix_profile(ADOBE_RGB, ADOBE_RGB_GAMMA))
    assert decibels(pixels(shown(content).jpeg), expected) > 36


def colorants(profile):
    """rXYZ, gXYZ, bXYZ as lcms reads them."""
    read = ImageCms.ImageCmsProfile(BytesIO(profile)).profile
    return np.array([read.red_colorant[0], read.green_colorant[0], read.blue_colorant[0]])


def test_p3_is_the_phones_own(phone_profile):
    """The maker's profile in a real phone's file, within its s15Fixed16 rounding and its older white."""
    assert np.abs(colorants(matrix_profile(P3, None)) - colorants(phone_profile)).max() < 5e-4


def test_adobe_rgb_matrix():
    """Adobe RGB (1998) profile colorants for D50 (as in the maker's own profile in a camera's file)."""
    published = [[0.60974, 0.31111, 0.01947], [0.20528, 0.62567, 0.06087], [0.14919, 0.06322, 0.74457]]
    assert np.abs(colorants(matrix_profile(ADOBE_RGB, ADOBE_RGB_GAMMA)) - published).max() < 5e-4


def test_srgb_profile_changes_nothing(scene, shown):
    profile = ImageCms.ImageCmsProfile(SRGB).tobytes()
    assert (
        shown(saved(scene, "PNG", icc_profile=profile), name="a.png").jpeg
        == shown(saved(scene, "PNG"), name="b.png").jpeg
    )


@pytest.mark.parametrize("profile", [b"nonsense", b"\0" * 400])
def test_broken_profile_counts_as_none(scene, shown, profile):
    with_it = shown(saved(scene, "PNG", icc_profile=profile), name="a.png")
    assert with_it.jpeg == shown(saved(scene, "PNG"), name="b.png").jpeg


def test_profile_for_another_kind_of_picture_counts_as_none(scene, shown, phone_profile):
    grey = scene.convert("L")
    assert (
        shown(saved(grey, "PNG", icc_profile=phone_profile), name="a.png").jpeg
        == shown(saved(grey, "PNG"), name="b.png").jpeg
    )


# CIELAB (D50) of the sixteen corners of an ink cube; invented, but in the order and range of real inks.
INKS = {
    "": (94, 0, 2),
    "C": (56, -36, -48),
    "M": (47, 72, -4),
    "Y": (88, -5, 90),
    "CM": (25, 20, -44),
    "CY": (50, -66, 26),
    "MY": (46, 66, 46),
    "CMY": (22, 1, 0),
}


def ink_profile():
    """A CMYK input profile with one lut8 table of two points an ink (ICC.1:2022 10.11)."""
    table = b""
    for corner in range(16):
        name = "".join(ink for ink, bit in zip("CMY", (8, 4, 2), strict=True) if corner & bit)
        light, a, b = INKS[name]
        if corner & 1:  # black over it
            light, a, b = light * 0.15, a * 0.1, b * 0.1
        table += bytes((round(light * 2.55), round(a + 128), round(b + 128)))
    ramp = bytes(range(256))
    matrix = struct.pack(">9i", 65536, 0, 0, 0, 65536, 0, 0, 0, 65536)
    lut = b"mft1" + bytes(4) + bytes((4, 3, 2, 0)) + matrix + ramp * 4 + table + ramp * 3
    tags = [
        (b"A2B0", lut),
        (b"A2B1", lut),
        (b"wtpt", b"XYZ " + bytes(4) + struct.pack(">3i", 63190, 65536, 54061)),
    ]
    at, head, body = 132 + 12 * len(tags), struct.pack(">I", len(tags)), b""
    for name, content in tags:
        head += struct.pack(">4sII", name, at + len(body), len(content))
        body += content + bytes(-len(content) % 4)
    start = struct.pack(
        ">I4sI4s4s4s12s4s", at + len(body), b"", 0x02400000, b"prtr", b"CMYK", b"Lab ", b"", b"acsp"
    )
    start += bytes(28) + struct.pack(">3i", 63190, 65536, 54061)
    return start + bytes(128 - len(start)) + head + body


def lab_to_srgb(light, a, b):
    """CIELAB D50 to sRGB: CIE 15, Bradford, IEC 61966-2-1 (matrices from memory)."""
    fy = (light + 16) / 116
    f = np.array([fy + a / 500, fy, fy - b / 200])
    xyz = np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29)) * [0.9642, 1.0, 0.8249]
    to_d65 = np.array(
        [
            [0.9555766, -0.0230393, 0.0631636],
            [-0.0282895, 1.0099416, 0.0210077],
            [0.0122982, -0.0204830, 1.3299098],
        ]
    )
    to_rgb = np.array(
        [
            [3.2404542, -1.5371385, -0.4985314],
            [-0.9692660, 1.8760108, 0.0415560],
            [0.0556434, -0.2040259, 1.0572252],
        ]
    )
    linear = np.clip(to_rgb @ to_d65 @ xyz, 0, 1)
    return 255 * np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)


@pytest.mark.parametrize("inks", ["M", "MY", "CM", "Y"])
def test_cmyk_by_its_profile(shown, pixels, inks):
    """A patch of solid inks comes out as the colour the profile gives it, worked out by the formulas."""
    patch = Image.new("CMYK", (64, 64), tuple(255 if ink in inks else 0 for ink in "CMYK"))
    content = saved(patch, "TIFF", icc_profile=ink_profile())
    made = pixels(shown(content, name="a.tif").jpeg)[32, 32]
    light, a, b = INKS[inks]
    # Media-relative with black point compensation moves light tones a little; clipped channels are left out.
    expected = lab_to_srgb(light, a, b)
    inside = (expected > 8) & (expected < 247)
    assert np.abs(made - expected)[inside].max() < 14
    naive = np.asarray(patch.convert("RGB"))[32, 32].astype(float)
    assert np.abs(naive - made).max() > 20  # so the profile was used


def test_cmyk_jpeg_from_an_editing_program(data, decibels):
    """Inverted four-colour JPEG (Adobe's marker): not a negative, against Pillow at full size."""
    content = (data / "ink.jpg").read_bytes()
    with Image.open(BytesIO(content)) as image:
        assert image.mode == "CMYK"
        expected = np.asarray(image.convert("RGB"))
    made = decode(content, 1, 5000)
    assert decibels(made, expected) > 45
    assert decibels(255 - made, expected) < 15


def sixteen_bit():
    y, x = np.mgrid[0:120, 0:160]
    planes = [x * 65535 // 159, y * 65535 // 119, (x + y) * 65535 // 278]
    return np.stack(planes, axis=-1).astype(np.uint16)


@pytest.mark.parametrize("extension", [".png", ".tiff"])
@pytest.mark.parametrize("channels", [1, 3])
def test_sixteen_bits(shown, pixels, decibels, extension, channels):
    """Written by OpenCV, expected as 16 bits / 257."""
    deep = sixteen_bit() if channels == 3 else np.ascontiguousarray(sixteen_bit()[:, :, 2])
    content = bytes(cv2.imencode(extension, deep)[1])
    expected = deep / 257
    expected = expected[:, :, ::-1] if channels == 3 else np.repeat(expected[:, :, None], 3, axis=2)
    assert decibels(pixels(shown(content, name="a" + extension).jpeg), expected) > 40


def test_sixteen_bits_from_a_real_program(data, shown, pixels, decibels):
    content = (data / "deep.tiff").read_bytes()
    deep = cv2.imdecode(np.frombuffer(content, np.uint8), cv2.IMREAD_UNCHANGED)[:, :, ::-1]
    assert deep.dtype == np.uint16
    assert decibels(pixels(shown(content, name="a.tiff").jpeg), deep / 257) > 36


def test_transparent_shows_white(shown, pixels):
    clear = Image.new("RGBA", (64, 64), (200, 0, 0, 0))
    clear.paste((0, 0, 200, 128), (0, 0, 32, 64))
    made = pixels(shown(saved(clear, "PNG"), name="a.png").jpeg)
    assert np.abs(made[32, 56] - 255).max() <= 2
    assert np.abs(made[32, 8] - [127, 127, 227]).max() <= 4  # half of (0, 0, 200) over white


@pytest.mark.parametrize("mode", ["P", "1", "L", "LA"])
def test_other_modes(scene, mode):
    image = scene.convert(mode) if mode != "LA" else scene.convert("L").convert("LA")
    expected = np.asarray(image.convert("RGB"))
    assert np.array_equal(decode(saved(image, "PNG"), 1, 5000), expected)


def test_palette_with_a_clear_colour(shown, pixels):
    image = Image.new("P", (32, 32), 1)
    image.putpalette([250, 0, 0, 0, 90, 0])
    image.paste(0, (0, 0, 16, 32))
    made = pixels(shown(saved(image, "PNG", transparency=0), name="a.png").jpeg)
    assert np.abs(made[16, 3] - 255).max() <= 2
    assert np.abs(made[16, 28] - [0, 90, 0]).max() <= 4


SPOTS = [(64, 64), (20, 30), (100, 90), (50, 20), (30, 110), (120, 5)]


def test_lab_tiff(data, decibels):
    """A CIELAB TIFF by the formulas; a and b are signed and must not wrap when averaged."""
    content = (data / "lab.tif").read_bytes()
    with Image.open(BytesIO(content)) as image:
        lab = np.asarray(image)
    light, a_b = lab[:, :, 0] / 2.55, lab[:, :, 1:].view(np.int8)
    expected = np.array([lab_to_srgb(light[y, x], *a_b[y, x].astype(float)) for y, x in SPOTS])
    whole = decode(content, 1, 5000)
    assert np.abs([whole[y, x] for y, x in SPOTS] - expected).max() < 8
    half = decode(content, 1, 64)
    assert decibels(half, cv2.resize(whole, (64, 64), interpolation=cv2.INTER_AREA)) > 40
