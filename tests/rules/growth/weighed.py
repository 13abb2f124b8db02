"""Data that others published and fitted, with what they found."""

# NIST StRD, nonlinear regression, Rat42 (pasture growth) and its certified answer:
# b1 / (1 + exp(b2 - b3 x)).
RAT42_X = (9.0, 14.0, 21.0, 28.0, 42.0, 57.0, 63.0, 70.0, 79.0)
RAT42_Y = (8.93, 10.80, 18.59, 22.33, 39.35, 56.11, 61.73, 64.62, 67.08)
RAT42 = (72.462237576, 2.6180768402, 0.067359200066)
RAT42_RSS = 8.0565229338
# The certified standard deviations are from memory.
RAT42_DEVIATIONS = (1.7340283401, 0.088295217536, 0.0034465663377)
RAT42_RESIDUAL_DEVIATION = 1.1587725499
RAT42_STARTS = ((100.0, 1.0, 0.1), (75.0, 2.5, 0.07))

# NIST StRD, BoxBOD, rated of higher difficulty: b1 (1 - exp(-b2 x)).
BOXBOD_X = (1.0, 2.0, 3.0, 5.0, 7.0, 10.0)
BOXBOD_Y = (109.0, 149.0, 149.0, 191.0, 213.0, 224.0)
BOXBOD = (213.80940889, 0.54723748542)
BOXBOD_RSS = 1168.0088766
# The certified standard deviations are from memory.
BOXBOD_DEVIATIONS = (12.354515176, 0.10455993237)
BOXBOD_STARTS = ((1.0, 1.0), (100.0, 0.75))

# R, data set ChickWeight, chick 1; from memory. The fit is that of R's example of
# SSlogis: Asym 937.03, xmid 35.223, scal 11.405, with their standard errors.
CHICK_DAYS = (0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 21.0)
CHICK_G = (42.0, 51.0, 59.0, 64.0, 76.0, 93.0, 106.0, 125.0, 149.0, 171.0, 199.0, 205.0)
CHICK = (937.03, 35.223, 11.405)
CHICK_ERRORS = (465.9, 8.31, 0.905)
