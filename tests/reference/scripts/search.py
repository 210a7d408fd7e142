"""The cheapest search for one faulty fuse among twelve, by exact dynamic programming: every set of fuses that may
still hold the fault, every place to stand in. A fuse is read in its box, which takes time to reach; a whole box is read
at once by a clamp on its cable at the battery. Costs are minutes; stopping early costs the price of a wrong finding.
"""
import numpy as np

from vectorfile import digits, write

SEED, FUSES, WRONG = 2010, 12, 60.0
# Minutes of a clamp on a box's cable, and of reaching a place: cheap, usual and dear.
CLAMPS, REACHES = (0.4, 1.2, 3.0), ((0.0, 0.0), (0.5, 1.5), (2.0, 4.0))
DROP = 0.4


def panel(rng, clamp, reach):
    boxes = int(rng.integers(2, 5))
    box = np.concatenate([np.arange(boxes), rng.integers(0, boxes, FUSES - boxes)])
    chance = rng.dirichlet(np.full(FUSES, rng.choice([0.4, 1.0, 4.0])))
    # The last place is the battery.
    ways = rng.uniform(*reach, boxes + 1)
    return {
        "boxes": [int(one) for one in box], "chances": [digits(one) for one in chance],
        "reach": [digits(one) for one in ways], "clamp": clamp, "drop": DROP, "wrong": WRONG,
    }


def optimum(one):
    """Value of every set of fuses from small to large, standing in each place: minutes times chance."""
    chance, box, reach = np.array(one["chances"]), one["boxes"], one["reach"]
    places = len(reach)
    everything = 1 << FUSES
    mass, most = np.zeros(everything), np.zeros(everything)
    for number in range(1, everything):
        low = number & -number
        fuse = low.bit_length() - 1
        mass[number] = mass[number ^ low] + chance[fuse]
        most[number] = max(most[number ^ low], chance[fuse])
    readings = [(1 << fuse, box[fuse], DROP) for fuse in range(FUSES)]
    for place in range(places - 1):
        members = sum(1 << fuse for fuse in range(FUSES) if box[fuse] == place)
        readings.append((members, places - 1, one["clamp"]))
    best = [[0.0] * places for _ in range(everything)]
    for number in range(1, everything):
        if number & (number - 1) == 0:
            continue
        row = best[number]
        stop = WRONG * (mass[number] - most[number])
        stay = [stop] * places
        for members, place, minutes in readings:
            inside = number & members
            if inside == 0 or inside == number:
                continue
            after = mass[number] * minutes + best[inside][place] + best[number ^ inside][place]
            there = after + mass[number] * reach[place]
            for here in range(places):
                cost = after if here == place else there
                if cost < stay[here]:
                    stay[here] = cost
        row[:] = stay
    # The search begins beside the vehicle, in none of the places.
    start = WRONG * (1 - most[-1])
    for members, place, minutes in readings:
        inside = (everything - 1) & members
        if inside not in (0, everything - 1):
            rest = best[inside][place] + best[(everything - 1) ^ inside][place]
            start = min(start, minutes + reach[place] + rest)
    return start


def main():
    rng = np.random.default_rng(SEED)
    cases = []
    for number in range(200):
        one = panel(rng, CLAMPS[number % 3], REACHES[number // 3 % 3])
        cases.append({**one, "optimum": digits(optimum(one))})
    write(
        __file__, ["numpy"], SEED,
        "exact dynamic programming over all sets of twelve fuses and all places, by this script",
        {"relative": 1e-9, "absolute": 1e-9}, cases,
    )


main()
