"""Raster warps against OpenCV and scikit-image; filtering when they shrink; bounds on memory."""

import cv2
import numpy as np
import pytest
from PIL import Image
from skimage import transform

from mapper.affine import Affine
from mapper.problems import RequestError
from mapper.rect import Rect
from render.pictures.warp import resized, warped


@pytest.fixture(scope="module")
def smooth():
    """A picture without sharp edges, in which every interpolation sees the same.

    It is a sum of slow waves in three channels.
    """
    y, x = np.mgrid[0:180, 0:240]
    waves = [
        np.sin(x / 17 + phase) + np.cos(y / 13 - phase) + np.sin((x + y) / 29)
        for phase in (0.0, 1.1, 2.3)
    ]
    return Image.fromarray((np.stack(waves, axis=-1) * 40 + 127).astype(np.uint8))


STRAIGHT = [
    Affine(1.75, 0, 0, 0, 1.3, 0),
    Affine(0.6, 0, 0, 0, 0.9, 0),
    Affine(2.0, 0, 13.25, 0, 1.5, -7.5),
    Affine(1.0, 0, 0.5, 0, 1.0, 0.25),
]
ASKEW = [
    Affine.rotation_about(20, 120, 90),
    Affine(1.4, 0.3, -20, -0.2, 1.1, 30),
    Affine(0.5, 0.1, 20, 0.0, 0.8, 5),
]


def inner(array, margin=12):
    return array[margin:-margin, margin:-margin].astype(float)


def compared(ours, other, affine, size):
    """Where both are well inside the picture: edges are each library's own affair."""
    mask = Image.new("L", (240, 180), 0)
    mask.paste(255, (8, 8, 232, 172))
    inside = np.asarray(
        mask.transform(
            size,
            Image.Transform.AFFINE,
            [(~affine).a, (~affine).b, (~affine).c, (~affine).d, (~affine).e, (~affine).f],
        )
    )
    where = inner(inside) == 255
    assert where.mean() > 0.1
    return np.abs(inner(ours) - inner(other)).max(axis=-1)[where]


@pytest.mark.oracle
@pytest.mark.parametrize("affine", STRAIGHT + ASKEW)
def test_as_opencv_warps_it(smooth, affine):
    size = 300, 220
    ours = np.asarray(warped(smooth, affine, *size))
    # OpenCV's frame has pixel centres at whole numbers, ours has edges there.
    half = Affine(1, 0, -0.5, 0, 1, -0.5)
    centred = half @ affine @ ~half
    matrix = np.array(centred.rows[:2])
    other = cv2.warpAffine(np.asarray(smooth), matrix, size, flags=cv2.INTER_CUBIC)
    # Two grey levels of 255: rounding of both, and the two cubic kernels (a = -0.5 and -0.75) on
    # slow waves.
    assert compared(ours, other, affine, size).max() <= 2.0


@pytest.mark.oracle
@pytest.mark.parametrize("affine", STRAIGHT + ASKEW)
def test_as_scikit_image_warps_it(smooth, affine):
    size = 300, 220
    ours = np.asarray(warped(smooth, affine, *size))
    half = Affine(1, 0, -0.5, 0, 1, -0.5)
    back = transform.AffineTransform(matrix=np.array((half @ ~affine @ ~half).rows))
    other = transform.warp(
        np.asarray(smooth), back, output_shape=(220, 300), order=3, preserve_range=True
    )
    # Where it shrinks ours averages first and scikit-image's does not: two and a half levels on
    # slow waves.
    assert compared(ours, other, affine, size).max() <= 2.5


def test_shrinking_averages_instead_of_skipping():
    # Stripes one pixel wide: their average is grey; picking every eighth pixel would make them
    # black or white.
    stripes = np.zeros((256, 256), np.uint8)
    stripes[:, ::2] = 255
    picture = Image.fromarray(stripes)
    for affine in (Affine(1 / 8, 0, 0, 0, 1 / 8, 0), Affine(0.12, 0.01, 1, -0.01, 0.12, 2)):
        small = np.asarray(warped(picture, affine, 32, 32))[8:24, 8:24]
        assert np.abs(small.astype(float) - 127.5).max() < 12


def test_identity_changes_nothing(smooth):
    assert np.array_equal(
        np.asarray(warped(smooth, Affine.identity(), *smooth.size)), np.asarray(smooth)
    )


def test_a_part_can_be_resized(smooth):
    part = resized(smooth, 60, 40, Rect(20, 30, 60, 40))
    assert np.array_equal(np.asarray(part), np.asarray(smooth)[30:70, 20:80])


def test_what_lies_outside_is_empty(smooth):
    shifted = np.asarray(warped(smooth, Affine(1, 0, 100, 0, 1, 50), 240, 180))
    assert not shifted[:50].any()
    assert not shifted[:, :100].any()
    assert np.array_equal(shifted[50:, 100:], np.asarray(smooth)[:130, :140])
    assert not np.asarray(warped(smooth, Affine(1, 0, 500, 0, 1, 0), 240, 180)).any()


@pytest.mark.parametrize("size", [(100_000, 100_000), (0, 10)])
def test_a_result_without_bounds_is_refused(smooth, size):
    with pytest.raises(RequestError, match="at most 100 million pixels"):
        warped(smooth, Affine.identity(), *size)
    with pytest.raises(RequestError, match="at most 100 million pixels"):
        resized(smooth, *size)
