#include "check.h"

#include "teardown/thermistor.h"

/* R25 exp(B(1/T − 1/298.15)), 10 kΩ, computed from the law for B values that parts are sold with. */
TEST(beta_gives_the_resistances_of_its_law)
{
    struct thermistor t = thermistor_beta(10000, 3435);
    CHECK_REL(thermistor_ohm(&t, -20), 77522.5, 1e-5);
    CHECK_REL(thermistor_ohm(&t, 0), 28704.3, 1e-5);
    CHECK_REL(thermistor_ohm(&t, 60), 2980.9, 2e-5);
    t = thermistor_beta(10000, 3950);
    CHECK_REL(thermistor_ohm(&t, 5), 25924.6, 1e-5);
    CHECK_REL(thermistor_ohm(&t, 45), 4348.1, 2e-5);
    for (double degc = -31.7; degc < 90; degc += 13.3)
        CHECK_NEAR(thermistor_degc(&t, thermistor_ohm(&t, degc)), degc, 1e-9);
    CHECK_REL(thermistor_beta_of(10000, 25, thermistor_ohm(&t, 50), 50), 3950, 1e-9);
}

/* A widely printed precision 10 kΩ curve, coefficients from memory: 25 °C at 10 kΩ, 0 °C at 32650 Ω. */
TEST(steinhart_hart_gives_the_temperatures_of_a_printed_curve)
{
    struct thermistor t = {.steinhart = true, .a = 1.129148e-3, .b = 2.34125e-4, .c = 8.76741e-8};
    CHECK_NEAR(thermistor_degc(&t, 10000), 24.99967, 1e-4);
    CHECK_NEAR(thermistor_degc(&t, 32650), 0.00022, 1e-4);
    for (double degc = -38.2; degc < 120; degc += 17.9)
        CHECK_NEAR(thermistor_degc(&t, thermistor_ohm(&t, degc)), degc, 1e-8);
    /* Coefficients that are passed around as those of 10 kΩ at 25 °C, and are not. */
    struct thermistor other = {.steinhart = true, .a = 1.009249522e-3, .b = 2.378405444e-4, .c = 2.019202697e-7};
    CHECK_NEAR(thermistor_degc(&other, 10000), 24.681, 1e-3);
}

TEST(three_points_give_the_curve_through_them)
{
    struct thermistor source = {.steinhart = true, .a = 1.129148e-3, .b = 2.34125e-4, .c = 8.76741e-8}, found;
    const double degc[3] = {-9.3, 26.1, 71.4};
    double ohm[3];
    struct message message;
    for (int k = 0; k < 3; k++)
        ohm[k] = thermistor_ohm(&source, degc[k]);
    CHECK(thermistor_through(ohm, degc, &found, &message) == STATUS_OK);
    CHECK_REL(found.a, source.a, 1e-6);
    CHECK_REL(found.b, source.b, 1e-6);
    CHECK_REL(found.c, source.c, 1e-4);
    const double same[3] = {10000, 10000, 5000}, rising[3] = {5000, 10000, 20000};
    CHECK(thermistor_through(same, degc, &found, &message) == STATUS_USAGE);
    CHECK(thermistor_through(rising, degc, &found, &message) == STATUS_USAGE);
}

/* dT = −T²/B dR/R: 1 % of R25, of B (which matters away from 25 °C only) and of the reading. */
TEST(the_spread_of_the_part_is_a_spread_of_temperature)
{
    struct thermistor t = thermistor_beta(10000, 3435);
    double ohm = thermistor_ohm(&t, 1.5), t_k = 274.65;
    struct measure m = thermistor_measure_degc(&t, ohm, 0.02);
    double by_r = t_k * t_k / 3435 / sqrt(3), by_b = t_k * t_k * (1 / t_k - 1 / 298.15) / sqrt(3);
    double want = sqrt(by_r * by_r * (0.01 * 0.01 + 0.02 * 0.02) + by_b * by_b * 0.01 * 0.01);
    CHECK_NEAR(m.value, 1.5, 1e-9);
    CHECK_REL(m.u, want, 1e-3);
    CHECK(!measure_known(&(struct measure){.value = NAN}));
    m = thermistor_measure_degc(&t, -5, 0.01);
    CHECK(!measure_known(&m) && m.why[0] != '\0');
}
