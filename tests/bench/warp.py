"""A drawing of 24 megapixels through a map, against Pillow's own bicubic transform.

Along the axes, as nearly every map is, and askew. Where it shrinks the floor only picks pixels, and
what it leaves out shows as false patterns; ours averages them all, so the two are not the like.
"""

import numpy as np
from PIL import Image

from mapper.affine import Affine
from render.pictures.warp import warped
from tests.bench.timing import Result, best_of_turns

SIZE = 6000, 4000


def pillow(picture, affine, width, height):
    back = ~affine
    elements = back.a, back.b, back.c, back.d, back.e, back.f
    return picture.transform(
        (width, height), Image.Transform.AFFINE, elements, resample=Image.Resampling.BICUBIC
    )


def results():
    random = np.random.default_rng(3)
    picture = Image.fromarray(random.integers(0, 255, (SIZE[1], SIZE[0], 3), np.uint8))
    for what, affine, aim in (
        ("stretched by 12.6 %", Affine(1.126, 0, 0, 0, 1, 0), 0.25),
        ("shrunk to a screen", Affine(0.43, 0, 0, 0, 0.36, 0), None),
        ("turned by 5 degrees", Affine.rotation_about(5, 3000, 2000), None),
    ):
        width, height = round(SIZE[0] * max(affine.a, 0.3)), round(SIZE[1] * max(affine.e, 0.3))

        def ours(affine=affine, width=width, height=height):
            warped(picture, affine, width, height)

        def theirs(affine=affine, width=width, height=height):
            pillow(picture, affine, width, height)

        ours_s, floor_s = best_of_turns(2, ours, theirs)
        yield Result(
            f"a drawing of 24 megapixels {what}",
            "Pillow's bicubic AFFINE transform",
            ours_s,
            floor_s,
            aim,
        )
