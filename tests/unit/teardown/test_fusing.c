#include "check.h"

#include "teardown/fusing.h"

static const double mm2_per_circular_mil = 5.067074790975e-4;

/* The worked example of handbooks, 2581 circular mils (16 AWG), 5 s, from 25 °C, with the sign put right (234 + T):
 * the printed 178 A come from 234 − T. The others are computed from the same law. */
TEST(copper_melts_as_onderdonk_says)
{
    CHECK_REL(fusing_current_a(2581 * mm2_per_circular_mil, 25, 5), 168.86, 1e-4);
    CHECK_REL(fusing_current_a(0.8230, 40, 1), 233.5, 1e-3);   /* 18 AWG */
    CHECK_REL(fusing_current_a(5.2612, 40, 1), 1492.5, 1e-3);  /* 10 AWG */
    CHECK_REL(fusing_current_a(67.4309, 40, 1), 19129, 1e-3);  /* 2/0 AWG */
    CHECK_REL(fusing_time_s(2.0809, 25, 400), 2.26, 5e-3);     /* 14 AWG at 400 A */
    CHECK_REL(fusing_time_s(3.3, 31, fusing_current_a(3.3, 31, 2.7)), 2.7, 1e-12);
}

/* IEC 60364-5-54: tables print 115 for PVC, 143 for XLPE (k from memory). */
TEST(the_adiabatic_rule_has_the_factors_of_the_standard)
{
    CHECK_NEAR(adiabatic_k(70, 160), 115, 0.5);
    CHECK_NEAR(adiabatic_k(90, 250), 143, 0.5);
    CHECK_REL(adiabatic_time_s(13.749, 70, 160, 5000), 0.1, 1e-3); /* S = √(I²t)/k */
}
