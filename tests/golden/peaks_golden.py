"""Writes peaks.csv: the minima of the second derivative of spectrum.csv, by numpy and scipy.

Run by hand in this folder: python3 peaks_golden.py > peaks.csv   (numpy 2.4.6, scipy 1.17.1 made the committed file)
"""
import numpy as np
from scipy.signal import find_peaks, savgol_filter

axis, y = np.loadtxt("spectrum.csv", delimiter=",", skiprows=1, usecols=(0, 1), unpack=True)
spacing = axis[1] - axis[0]
# A cubic over 18 cm-1, in whole points to either side.
curvature = -savgol_filter(y, 11, 3, deriv=2, delta=spacing, mode="interp")
index, _ = find_peaks(curvature)
print("index,position,curvature")
for i in index:
    before, here, after = curvature[i - 1 : i + 2]
    offset = 0.5 * (before - after) / (before - 2 * here + after)
    print(f"{i},{axis[i] + offset * spacing:.6f},{curvature[i]:.9e}")
