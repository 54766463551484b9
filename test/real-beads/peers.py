"""Three plain forecasters on the same folds, by NumPy and scikit-learn: a log-linear law, a quadratic surface and a
Gaussian process. Reads {x, y, log, folds} as JSON from a file named on the command line, writes
{name: [[estimate, lower, upper] or null per row]}."""
import json
import sys
import warnings

import numpy as np
from scipy.stats import norm, t
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import RBF, ConstantKernel, WhiteKernel

warnings.filterwarnings("ignore")
task = json.load(open(sys.argv[1]))
x = np.array(task["x"], float)
y = np.array(task["y"], float)
z = np.log(y) if task["log"] else y
back = np.exp if task["log"] else (lambda v: v)
positive = (x > 0).all(axis=0)
logs = np.where(positive, np.log(np.where(x > 0, x, 1)), x)


def least_squares(a, target, b):
    coefficients, _, rank, _ = np.linalg.lstsq(a, target, rcond=None)
    df = len(target) - rank
    if df < 1:
        return None
    r = target - a @ coefficients
    gram = np.linalg.pinv(a.T @ a)
    sd = np.sqrt(r @ r / df * (1 + np.einsum("ij,jk,ik->i", b, gram, b)))
    return b @ coefficients, t.ppf(0.975, df) * sd


def log_linear(stay, gone):
    a = np.c_[np.ones(len(logs)), logs]
    return least_squares(a[stay], z[stay], a[gone])


def quadratic(stay, gone):
    low, high = x[stay].min(axis=0), x[stay].max(axis=0)
    c = 2 * (x - low) / np.where(high > low, high - low, 1) - 1
    d = c.shape[1]
    products = [c[:, i] * c[:, j] for i in range(d) for j in range(i, d)]
    a = np.c_[np.ones(len(c)), c, np.array(products).T]
    if len(np.unique(x[stay], axis=0)) < a.shape[1]:
        return None
    return least_squares(a[stay], z[stay], a[gone])


def gaussian_process(stay, gone):
    middle, spread = x[stay].mean(axis=0), x[stay].std(axis=0)
    c = (x - middle) / np.where(spread > 0, spread, 1)
    kernel = ConstantKernel(1, (1e-2, 1e3)) * RBF(np.ones(c.shape[1]), (1e-1, 1e2)) + WhiteKernel(0.1, (1e-4, 1e1))
    process = GaussianProcessRegressor(kernel, normalize_y=True, n_restarts_optimizer=1, random_state=0)
    mean, sd = process.fit(c[stay], z[stay]).predict(c[gone], return_std=True)
    return mean, norm.ppf(0.975) * sd


out = {}
for name, peer in (("log-linear", log_linear), ("quadratic", quadratic), ("Gaussian process", gaussian_process)):
    said = [None] * len(y)
    for fold in task["folds"]:
        stay = np.setdiff1d(np.arange(len(y)), fold["without"])
        answer = peer(stay, np.array(fold["rows"]))
        if answer is None:
            continue
        for i, middle, half in zip(fold["rows"], *answer):
            said[i] = [float(back(middle)), float(back(middle - half)), float(back(middle + half))]
    out[name] = said
print(json.dumps(out))
