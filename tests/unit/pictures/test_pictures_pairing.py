"""Pairs proposed among public photographs (`picture_scenes`), seen again from elsewhere in other light.

Aim: 95 % right at 90 % recall. The method was chosen on scikit-image's pictures, `rockery.jpg` and pieces
of 900 px of two sets of desktop backgrounds (Debian's lomiri-wallpapers-16.04 and the photographs of nature
of mate-backgrounds), blank skies and soft grounds among them: of 43 true pairs of those backgrounds 32 are
proposed as `USUAL` says, 29 as `STRONG`, 7 as `REWORKED`, none wrongly (what shows nothing has no match).
Held out, looked at once: 30 scenes of the photographs of 2,560 x 1,600 px in plasma-workspace-wallpapers,
of lomiri-wallpapers-20.04 and of opencv-doc, those of them that show something (a quarter of 300 tiles vary
by 10 of 255 or more; opencv-doc's, 150 corners): 15 of 15 as `USUAL`, `ELSEWHERE` and `STRONG` say, 11 of
15 as `REWORKED`, none wrongly. Held out after that, looked at once, with two draws each: 37 scenes of
pictures that opencv 4.6's source, image-matching-models 1.1, scikit-image 0.16 and palapeli-data carry: 38
of 38 as `USUAL`, `ELSEWHERE` and `STRONG` say, 34 of 38 as `REWORKED`, none wrongly
(some of opencv's were among the 30 before). So the aim is reached,
and is just missed where the surface is new as well.

Pairs as somebody published them, not made (`tests/bench/pairing.py --known`): of opencv's source graf,
leuven, aloe, box, aero, the two chessboard cameras, rubberwhale, basketball, the edited picture, the house
of its `sfm` and left/right; scikit-image's motorcycle; of image-matching-models fresco, Montmartre, the
station and the satellite. Among 32 by 31 photographs 13 of these 16 are found and no wrong one is proposed.
Not found: a town from the air at a very low angle, and two places taken from several times as far, in
another season. Of the samples of kapture 1.1.12 (Berlin's cathedral, a roof and a house at Maupertuis, two
places of one hall, the street, the barrel, the office, Aachen's town hall) and the test pictures of
easy-local-features (Saint Peter's, Notre-Dame) 11 of 11 among 15 by 15, none wrong; before a photograph whose
best partner was another's could have its next, and before the closer look, which was set on made pairs, 9.
Together 24 of 27. Then, with nothing changed and looked at once: the twelve rooms and things that stereodemo
0.7 (MIT) carries from two cameras side by side, two things of the source of visp 3.5.0 (GPL-2; the cube at
places 1 and 150, the tea box and the middle of its film) and the airport of 1991 and 1995 of libvigraimpex
1.11.1 (MIT), of which a quarter is seen on both: 14 of 15. With nothing changed and looked at
once, four more: the box of tracking 1.1.3 (npm, BSD), and of visp-images 3.5.0 (GPL-2) the first and last of
the castle and of the die, and places 1 and 3 of the grid of 36 dots: 4 of 4. All together, 65 photographs
before among 66 after: 42 of 46 pairs proposed, 91 %, and no wrong one. Some 22 of the 46 are two cameras side
by side or moments of one film, all found; of the other 24, which are more like what a workshop has, 20 are,
83 %: there the aim is just missed. What is not found: a town from the air at a very low angle and an airport
of which a quarter is seen on both, a hall from several times as far (of these at 1,000 px too no more agrees
than by chance), and a dome that is its own mirror image (at 1,000 px 18 landmarks agree, and 15 in a mirror:
looking so closely at all that is in doubt would cost more time than all the rest).
None of these pictures is kept here, since not all may be passed on; their packages: opencv (Apache
2.0), scikit-image (BSD 3-clause), image-matching-models and kapture (BSD 3-clause), easy-local-features (the
licence of its test pictures is not said), those above. To look again: one picture of each thing in one
folder and one in another, under one name.
Why, by the pictures it was chosen on: of 80 pairs made as `REWORKED` says 8 are not proposed. Finer
landmarks, of 1,000 px, agree on 0 to 7 of the six of them that were looked at so, those of locally evened
contrast (CLAHE) on 0 to 5, where chance gives 4: nothing tells them from two that are no pair.
The same pictures as 59 scenes for made pairs, two new draws: 60 of 60 as `USUAL` and `ELSEWHERE` say, 58 as
`STRONG`, 49 as `REWORKED`, none wrongly.

Up to nine views of one thing that overlap by half or more, some of them seen on one side only (made of the
same, three draws each, 61 true pairs): of the 73 to 82 proposed none shows nothing in common, 0 to 4 less
than 45 %; 44 to 95 % of true pairs are found (38 to 90 when a photograph had no second choice), others are
neighbours, of which 1 to 5 were called sure before `AROUND`.

Where its own partner is missing and what is left is another thing with a box of 6, 12 or 25 % of its area, or
a view beside it that overlaps by 30, 45 or 60 %: on scikit-image's pictures and `rockery.jpg` (14) 66 of 84
were called sure, and `AROUND`, chosen there, leaves 1; of 56 true pairs by the four changes 35 instead of 47
stay sure. Held out, the first pictures of the published pairs above and the single ones among them (44, one
draw each): 201 of 264 without it, 8 with it, all of them views that overlap by 60 %; of 176 true pairs 104
instead of 163 stay sure. Of the published pairs above 19 of the 42 right ones are sure, none wrongly: what
is likely is to be looked at.
"""

from __future__ import annotations

import cv2
import numpy as np
import picture_scenes as scenes
import pytest

from dossier.pictures import pairing
from dossier.pictures.agreement import Agreed, agreed
from dossier.pictures.align import working
from dossier.pictures.landmarks import NONE, Landmarks, landmarks, mirrored
from dossier.pictures.pairing import Proposal


@pytest.fixture(scope="module")
def some_scenes() -> list[np.ndarray]:
    return scenes.pieces(["rockery"], 6) + scenes.pieces(list(scenes.WHOLE), 1, side=100_000)


def looked_at(album: scenes.Album) -> tuple[list[pairing.View], list[pairing.View]]:
    before, after = (
        [pairing.view(working(pixels)) for pixels in group] for group in (album.before, album.after)
    )
    return before, after


def counted(album: scenes.Album) -> tuple[int, int, int]:
    """Proposed, right, true pairs."""
    proposals = pairing.propose(*looked_at(album))
    right = sum((p.before, p.after) in set(album.pairs) for p in proposals)
    return len(proposals), right, len(album.pairs)


def test_a_plain_wall_is_no_scene() -> None:
    """Grain and a fall of light give it corners, but nothing to see (made: no public picture is as plain)."""
    grain = np.random.default_rng(1).normal(200, 3, (800, 800, 1)) + np.linspace(-20, 20, 800)[:, None, None]
    wall = np.clip(grain, 0, 255).astype(np.uint8).repeat(3, axis=2)
    assert not scenes.detailed(wall)
    assert all(scenes.detailed(scenes.photograph(name)) for name in scenes.WHOLE)


def test_proposals_are_right(some_scenes: list[np.ndarray]) -> None:
    proposed, right, true = counted(scenes.album(some_scenes, scenes.USUAL, seed=1))
    assert right >= 0.95 * proposed
    assert right >= 0.9 * true


@pytest.mark.campaign
def test_proposals_of_many_albums_are_right(some_scenes: list[np.ndarray]) -> None:
    albums = [scenes.album(some_scenes[n:] + some_scenes[:n], scenes.USUAL, seed=n) for n in range(12)]
    proposed, right, true = np.sum([counted(album) for album in albums], axis=0)
    assert right >= 0.95 * proposed
    assert right >= 0.9 * true


def test_what_was_compared_once_is_not_compared_again(
    some_scenes: list[np.ndarray], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The pairs are those found without it, whichever of two photographs comes first."""
    before, after = looked_at(scenes.album(some_scenes[:8], scenes.USUAL, seed=1))
    count = len(before)
    near = pairing.neighbours([*after, *before])
    places = range(len(after), len(after) + count), range(len(after))
    known = pairing.across(near, *places)
    plain = {(p.before, p.after) for p in pairing.propose(before, after)}
    assert plain
    compared: list[tuple[int, int]] = []
    order = {id(v.marks.signs): n for n, v in enumerate([*before, *after])}

    def counting(one: Landmarks, other: Landmarks) -> Agreed:
        compared.append((order[id(one.signs)], order[id(other.signs)] - count))
        return agreed(one, other)

    monkeypatch.setattr(pairing, "agreed", counting)
    assert {(p.before, p.after) for p in pairing.propose(before, after, known)} == plain
    assert not set(compared) & known.keys()
    assert all(found.source.shape == found.target.shape for found in known.values())


def test_strangers_are_not_paired(some_scenes: list[np.ndarray]) -> None:
    """Nothing after is of a scene before."""
    before, after = looked_at(scenes.Album(some_scenes[::2], some_scenes[1::2], []))
    assert pairing.propose(before, after) == []


@pytest.mark.parametrize(("around", "said"), [(0.3, "likely"), (0.8, "sure")])
def test_sure_is_what_agrees_all_over(around: float, said: str) -> None:
    """Forty places on one badge may be on two things; `around`: the share of each side they lie within."""
    side = np.linspace(0, 100 * around, 7, dtype=np.float32)
    places = np.stack(np.meshgrid(side, side), axis=-1).reshape(-1, 2)
    blank = pairing.View(marks=NONE, size=(100, 100), small=np.zeros((10, 10), np.uint8))
    (found,) = pairing.propose([blank], [blank], {(0, 0): Agreed(np.eye(3), len(places), places, places)})
    assert found.confidence == said


@pytest.mark.campaign
def test_a_badge_in_common_is_not_sure(some_scenes: list[np.ndarray]) -> None:
    """What is seen again from elsewhere is; another thing with one badge of it, its own missing, is not."""
    rng, plain = np.random.default_rng(1), scenes.USUAL
    canvas, size = (1300, 975), scenes.SIZE
    sources = [scenes.covering(one, canvas) for one in some_scenes[6:13]]

    def seen(source: np.ndarray) -> pairing.View:
        shown = scenes.drawn(source, scenes.view(size, canvas, plain, rng), size)
        return pairing.view(working(scenes.developed(shown, plain, rng)))

    def badged(other: np.ndarray, source: np.ndarray) -> np.ndarray:
        """12 % of the area is the other's."""
        both = other.copy()
        both[310:648, 400:850] = source[310:648, 400:850]
        return both

    alike = [badged(sources[n - 3], source) for n, source in enumerate(sources)]
    before = [seen(source) for source in sources]
    found = [pairing.propose([one], [seen(other)]) for one, other in zip(before, alike, strict=True)]
    assert max(p.matches for some in found for p in some) >= pairing.SURE
    assert not [p for some in found for p in some if p.confidence == "sure"]
    again = [pairing.propose([one], [seen(other)]) for one, other in zip(before, sources, strict=True)]
    assert sum(p.confidence == "sure" for some in again for p in some) >= 5


def test_nothing_to_pair() -> None:
    assert pairing.propose([], []) == []
    blank = pairing.View(marks=NONE, size=(10, 10), small=np.zeros((10, 10), np.uint8))
    assert pairing.propose([blank], [blank, blank]) == []


def test_each_stands_in_one_pair_at_most() -> None:
    matched = {(0, 0): 40, (0, 1): 30, (1, 0): 20, (1, 1): 12, (2, 2): 8}
    found = pairing._best(matched)
    assert found[0] == Proposal(before=0, after=0, matches=40, next_best=30, confidence="likely")
    # Whose best partner is another's still has its next, never as sure.
    assert found[1] == Proposal(before=1, after=1, matches=12, next_best=30, confidence="likely")
    assert len({p.before for p in found}) == len({p.after for p in found}) == len(found)


def test_what_may_be_from_during_the_work_gives_way() -> None:
    """Before 1 may: after 0 agrees with it best; where the other hardly agrees it has its partner."""
    found = pairing._best({(0, 0): 20, (1, 0): 90}, ({1}, ()))
    assert [(p.before, p.confidence) for p in found] == [(0, "likely")]
    assert [p.before for p in pairing._best({(0, 0): 9, (1, 0): 90}, ({1}, ()))] == [1]


def test_a_guess_is_looked_at_again(some_scenes: list[np.ndarray]) -> None:
    """Where landmarks hold too few to say; the truth is the album's. On an album that hard none is wrong."""
    album = scenes.album(some_scenes, scenes.REWORKED, seed=2)
    before, after = looked_at(album)
    found = {(p.before, p.after) for p in pairing.propose(before, after)}
    guesses = [
        (b, a)
        for b, a in album.pairs
        if pairing.GUESS <= agreed(before[b].marks, after[a].marks).count < pairing.LIKELY
    ]
    assert found <= set(album.pairs)
    assert len(found) >= 0.5 * len(album.pairs)
    assert len(found & {*guesses}) >= 3


@pytest.mark.parametrize("turn", [-6, 0, 6])
def test_what_is_seen_in_a_mirror_is_no_partner(turn: int) -> None:
    """As the left and the right of two boots: a few details of a side agree, in a mirror nearly all."""
    pixels = scenes.photograph("astronaut")
    height, width = pixels.shape[:2]
    turned = cv2.getRotationMatrix2D((width / 2, height / 2), turn, 1)
    other = cv2.warpAffine(np.ascontiguousarray(pixels[:, ::-1]), turned, (width, height))
    before, after = pairing.view(working(pixels)), pairing.view(working(other))
    assert agreed(before.marks, after.marks).count >= pairing.GUESS
    assert pairing.propose([before], [after]) == []


def test_the_work_grows_little_faster_than_the_number() -> None:
    """Pairs looked at, not seconds: at most PARTNERS for each photograph of either group."""
    drawn = np.random.default_rng(1)

    def stranger() -> Landmarks:
        signs = drawn.integers(0, 256, (50, 128), dtype=np.uint8)
        return Landmarks(
            np.zeros((50, 2), np.float32), np.ones(50, np.float32), np.zeros(50, np.float32), signs
        )

    for count in (10, 40):
        found = pairing.candidates([stranger() for _ in range(count)], [stranger() for _ in range(count)])
        assert len(found) <= 2 * count * pairing.PARTNERS


@pytest.mark.campaign
@pytest.mark.parametrize(
    "change",
    [scenes.ELSEWHERE, scenes.STRONG, scenes.REWORKED],
    ids=["elsewhere", "strong", "reworked"],
)
def test_harder_albums_have_no_wrong_proposals(some_scenes: list[np.ndarray], change: scenes.Change) -> None:
    proposed, right, true = counted(scenes.album(some_scenes, change, seed=1))
    assert right == proposed
    assert right >= 0.5 * true


def test_a_mirrored_landmark_is_that_of_the_mirrored_picture() -> None:
    """OpenCV looks at the mirrored picture itself; ours is reckoned from the plain one."""
    grey = working(scenes.covering(scenes.photograph("astronaut"), scenes.SIZE))
    seen = landmarks(np.ascontiguousarray(grey[:, ::-1]))
    reckoned = mirrored(landmarks(grey), grey.shape[1])
    found = agreed(reckoned, seen)
    assert found.homography is not None
    assert found.count > 200
    assert scenes.corner_errors(np.eye(3), found.homography).max() < 2
