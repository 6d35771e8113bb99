"""A piece of a roll, drawn at random: which prints lie on it, and how many pieces there will be of it.

Room on a sheet is there to be filled; on a roll it is bought. So what decides is not what still finds room but how
few copies are too many, and how much length one layout reaches: one layout with all that is left is often best.
"""

from plugins.group.chance import Chance
from plugins.group.packer import Packer, Packing


def draw_piece(
    packer: Packer, seed: int, crowd: list[int], guess: int, rest: dict[int, int], rng: Chance
) -> Packing:
    """Return the seed and as many of the crowd (with the seed in it) as a piece of a length picked at random holds.

    `rest` is how many copies of each are needed; `guess` a number of pieces that may suit the seed.
    """
    others = rng.sample(crowd, len(crowd))
    area = sum(rest[i] * packer.areas[i] for i in crowd)
    fewest = 1 + int(float(area) / packer.empty.room * (1.0 + 0.3 * rng.random()))
    pieces = rng.choice((1, 1, fewest, fewest, guess, 1 + rng.below(max(1, rest[seed]))))
    spare = rng.choice((0, 0, pieces // 2, pieces - 1))
    room = int(packer.empty.room * rng.choice((1.0, 1.0, rng.random()))) - packer.areas[seed]
    more: list[int] = []
    for i in (seed, *(i for i in others if i != seed)):
        copies = min((rest[i] + spare) // pieces - (i == seed), room // packer.areas[i])
        if copies > 0:
            more += [i] * copies
            room -= copies * packer.areas[i]
    while (packing := packer.draw((seed, *more), rng)) is None:
        more = rng.sample(more, len(more) * 9 // 10)
    return packing
