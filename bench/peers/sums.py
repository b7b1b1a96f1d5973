# Trapezoid sums of charge and energy with pandas.
import sys
import numpy
import pandas

log = pandas.read_csv(sys.argv[1])
t, v, a, _ = (log[name].to_numpy() for name in log.columns)
print("%.6f %.6f" % (numpy.trapz(a, t) / 3600, numpy.trapz(v * a, t) / 3600))
