"""What a reading is worth, in bits: mutual information between class of cause and reading, by Monte Carlo and by
integration over a fine grid. The forecasts are mixtures of normal parts drawn from a seed.
"""
import numpy as np
from scipy.stats import norm

from vectorfile import digits, write

SEED = 1956
DRAWS = 1_000_000
rng = np.random.default_rng(SEED)


def density(y, parts, weights):
    total = np.zeros_like(y)
    for (mean, sd), weight in zip(parts, weights):
        if weight > 0:
            total += weight * norm.pdf(y, mean, sd)
    return total


def by_grid(parts, weights, classes):
    low = min(mean - 10 * sd for mean, sd in parts)
    high = max(mean + 10 * sd for mean, sd in parts)
    step = min(sd for _, sd in parts) / 20
    y = np.arange(low, high, step)
    everywhere = density(y, parts, weights)
    bits = 0.0
    for one in set(classes):
        of_class = density(y, parts, np.where(classes == one, weights, 0.0))
        share = weights[classes == one].sum()
        use = of_class > 0
        bits += step * np.sum(of_class[use] * np.log2(of_class[use] / share / everywhere[use]))
    return bits


def by_draws(parts, weights, classes):
    chosen = rng.choice(len(parts), DRAWS, p=weights)
    mean, sd = np.array(parts).T
    y = rng.normal(mean[chosen], sd[chosen])
    everywhere = density(y, parts, weights)
    gain = np.zeros(DRAWS)
    for one in set(classes):
        mine = classes[chosen] == one
        share = weights[classes == one].sum()
        gain[mine] = np.log2(density(y[mine], parts, np.where(classes == one, weights, 0.0)) / share / everywhere[mine])
    return gain.mean(), gain.std() / np.sqrt(DRAWS)


cases = []
for number in range(40):
    causes = int(rng.integers(2, 9))
    parts, owner = [], []
    for cause in range(causes):
        # A cause that shows here has an excess of many sizes; the others read what is normal, about 10 mA ± 10 to 30.
        base, noise = 0.010, float(rng.uniform(0.01, 0.03))
        if rng.random() < 0.5:
            for _ in range(int(rng.integers(2, 9))):
                mean = base + float(np.exp(rng.normal(np.log(0.2), 0.9)))
                parts.append((round(mean, 5), round(float(np.hypot(noise, 0.15 * mean)), 5)))
                owner.append(cause)
        else:
            parts.append((base, round(noise, 5)))
            owner.append(cause)
    owner = np.array(owner)
    weights = rng.dirichlet(np.full(len(parts), 0.7))
    weights = np.round(np.maximum(weights, 1e-4), 6)
    weights /= weights.sum()
    # Some causes count as one.
    class_of = [cause if rng.random() < 0.7 else 0 for cause in range(causes)]
    classes = np.array([class_of[cause] for cause in owner])
    if len(set(classes)) < 2:
        continue
    bits, error = by_draws(parts, weights, classes)
    cases.append({
        "parts": [[int(cause), float(weight), *part] for cause, weight, part in zip(owner, weights, parts)],
        "class_of": class_of, "grid": digits(float(by_grid(parts, weights, classes)), 9),
        "drawn": digits(float(bits), 9), "drawn_error": digits(float(error), 4),
    })

write(__file__, ["numpy", "scipy"], SEED,
      f"mutual information (Lindley 1956) by {DRAWS} draws with its standard error, and by integration over a grid",
      {"relative": 1e-6, "absolute": 1e-8}, cases)
