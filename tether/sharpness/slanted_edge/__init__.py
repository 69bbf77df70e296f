"""The edge-based spatial frequency response of ISO 12233, from one slanted edge.

The steps, and what each follows:

1. `line`: centroid of the derivative of every line of pixels across the edge, under a Hamming
   window (2014), and a parabola through them, for lenses bow straight lines (2023 fits a
   polynomial, earlier editions a straight line).
2. `plateaus`: what light varies along the plateaus is divided out. The standard asks for even
   light instead.
3. `spread`: the edge spread function at four points a px. A spline is fitted to the pixels at
   their own distances, where the standard averages them in bins of a quarter px; that average
   would lower the response by a factor of sin(πν/4)/(πν/4), which no edition corrects.
4. `response`: line spread function by the taps -1/2, 0, 1/2 (2014); a Tukey window (2023; a
   Hamming window before) as long as the edge asks for; absolute value of the Fourier transform;
   division by the response of the taps (2014), here sin(πν/2)/(πν/2) as it follows from them.
5. `certainty`: how far noise may have moved the result. The standard has no such step.

What is said of 2014 follows its clauses 6.2.4 and 6.2.5; what is said of 2023 (polynomial, Tukey
window) follows reports of that edition, whose text was not at hand.
"""
