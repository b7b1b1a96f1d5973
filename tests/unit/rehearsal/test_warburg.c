#include "check.h"

#include "rehearsal/warburg.h"

TEST(shares_are_the_partial_fractions_and_add_up)
{
    double shares[WARBURG_RUNGS], sum = 0;
    warburg_shares(6, shares);
    for (int k = 0; k < 6; k++)
        sum += shares[k];
    CHECK_NEAR(sum, 1, 1e-15);
    CHECK_NEAR(shares[0], 8 / (M_PI * M_PI), 1e-15);
    CHECK_NEAR(shares[3], 8 / (M_PI * M_PI) / 49, 1e-15);
    warburg_shares(1, shares);
    CHECK_NEAR(shares[0], 1, 0);
}

TEST(rungs_are_odd_squares_apart)
{
    double left[WARBURG_RUNGS];
    warburg_left(WARBURG_RUNGS, 0.973, left);
    for (int k = 0; k < WARBURG_RUNGS; k++)
        CHECK_REL(left[k], pow(0.973, (2 * k + 1) * (2 * k + 1)), 1e-12);
}

/* The impedance itself: sum of R_k / (1 + j w tau_k) beside tanh(sqrt(j w tau)) / sqrt(j w tau), and tanh by
 * its real and imaginary parts: (sinh 2a + j sin 2a) / (cosh 2a + cos 2a) at a + j a. */
TEST(impedance_is_that_of_a_finite_length_warburg)
{
    double shares[WARBURG_RUNGS];
    warburg_shares(WARBURG_RUNGS, shares);
    const double omegas[] = {0.05, 0.7, 3.1, 12};
    for (int i = 0; i < 4; i++) {
        double real = 0, imaginary = 0, w = omegas[i]; /* tau = 1 */
        for (int k = 0; k < WARBURG_RUNGS; k++) {
            double odd = (2 * k + 1) * M_PI / 2, wt = w / (odd * odd);
            real += shares[k] / (1 + wt * wt);
            imaginary -= shares[k] * wt / (1 + wt * wt);
        }
        double a = sqrt(w / 2), below = cosh(2 * a) + cos(2 * a);
        double tanh_re = sinh(2 * a) / below, tanh_im = sin(2 * a) / below;
        double exact_re = (tanh_re + tanh_im) / (2 * a), exact_im = (tanh_im - tanh_re) / (2 * a);
        CHECK_NEAR(real, exact_re, 4e-4);
        CHECK_NEAR(imaginary, exact_im, 4e-3);
    }
}

/* Before the far end is felt the volts rise as 2 R sqrt(t / (pi tau)), whatever the length: the square root
 * of semi-infinite diffusion (Cottrell 1903, from memory). */
TEST(a_step_rises_as_the_square_root_of_time)
{
    double shares[WARBURG_RUNGS], first_s = 4 / (M_PI * M_PI); /* tau = 1 s */
    warburg_shares(5, shares);
    const double times_s[] = {0.05, 0.1, 0.17};
    for (int i = 0; i < 3; i++)
        CHECK_REL(warburg_reached(5, shares, exp(-times_s[i] / first_s)), 2 * sqrt(times_s[i] / M_PI), 0.01);
    CHECK_NEAR(warburg_reached(5, shares, exp(-20 / first_s)), 1, 1e-12);
}
