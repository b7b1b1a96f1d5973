#include "check.h"

#include "teardown/ampacity.h"
#include "teardown/lead.h"

static struct gauge awg(double number)
{
    return (struct gauge){.parallel = 1, .area_mm2 = awg_area_mm2(number), .awg = number};
}

static double endless_a(double number, double limit_degc)
{
    struct gauge gauge = awg(number);
    struct lead lead = lead_endless(&gauge, METAL_COPPER, lead_usual_jacket_mm(gauge.area_mm2), 30);
    enum lead_limit limit;
    double a = lead_current(&lead, &(struct lead_limits){limit_degc, {NAN, NAN}}, &limit);
    CHECK(limit == LEAD_JACKET);
    return a;
}

/* 33 CFR 183.425, Table 5: in air at 30 °C. The balance of one conductor alone lies within −10 and +17 % of it for all
 * sizes of the 105 °C column, and from 8 AWG on for 60 and 75 °C; the thin ones of cool insulation are allowed less by
 * the table than physics alone would (up to 1.75 times), which is its margin. */
TEST(the_balance_of_heat_gives_the_ampacities_of_boats)
{
    static const double sizes[] = {18, 16, 14, 12, 10, 8, 6, 4, 3, 2, 1, 0, -1, -2, -3};
    for (size_t k = 0; k < sizeof sizes / sizeof sizes[0]; k++) {
        double area = awg_area_mm2(sizes[k]);
        double ratio = endless_a(sizes[k], 105) / ampacity_boats(area, 105).a;
        CHECK(ratio > 0.90 && ratio < 1.17);
        for (double degc = 60; degc <= 75; degc += 15) {
            ratio = endless_a(sizes[k], degc) / ampacity_boats(area, degc).a;
            CHECK(ratio > 0.90 && ratio < (sizes[k] <= 8 ? 1.17 : 1.75));
        }
    }
}

/* NEC table 310.17, single conductors in free air at 30 °C, copper, columns of 60, 75 and 90 °C (from memory): within −12 and
 * +20 % from 8 AWG on; what is thinner is allowed less by the table. */
TEST(the_balance_of_heat_gives_the_ampacities_of_free_air)
{
    static const double degc[3] = {60, 75, 90};
    static const struct {
        double awg, a[3];
    } rows[] = {{8, {60, 70, 80}},     {6, {80, 95, 105}},     {4, {105, 125, 140}},  {3, {120, 145, 165}},  {2, {140, 170, 190}},
                {1, {165, 195, 220}},  {0, {195, 230, 260}},   {-1, {225, 265, 300}}, {-2, {260, 310, 350}}, {-3, {300, 360, 405}}};
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        for (int c = 0; c < 3; c++) {
            double ratio = endless_a(rows[k].awg, degc[c]) / rows[k].a[c];
            CHECK(ratio > 0.88 && ratio < 1.20);
        }
    }
}

/* Copper Development Association, Table 1: bars of copper 110 indoors, 40 °C around them, emissivity 0.4, amps at a rise of
 * 30, 50 and 65 K. A bar is taken for a cylinder of its perimeter. */
TEST(bars_carry_what_the_makers_of_copper_print)
{
    static const double rise_k[3] = {30, 50, 65};
    static const struct {
        double thickness_in, width_in, a[3];
    } bars[] = {{0.0625, 0.5, {103, 136, 157}}, {0.125, 1, {270, 360, 415}}, {0.25, 2, {710, 940, 1100}},
                {0.125, 4, {900, 1200, 1400}}};
    for (size_t k = 0; k < sizeof bars / sizeof bars[0]; k++) {
        for (int r = 0; r < 3; r++) {
            struct gauge bar = {.parallel = 1, .awg = NAN, .flat = true, .width_mm = 25.4 * bars[k].width_in,
                                .thickness_mm = 25.4 * bars[k].thickness_in};
            bar.area_mm2 = bar.width_mm * bar.thickness_mm;
            struct lead lead = lead_endless(&bar, METAL_COPPER, 0, 40);
            lead.emissivity = 0.4;
            enum lead_limit limit;
            CHECK_REL(lead_current(&lead, &(struct lead_limits){40 + rise_k[r], {NAN, NAN}}, &limit), bars[k].a[r], 0.05);
        }
    }
}

/* Without air: θ = T − 20 °C + 1/α obeys θ″ = −β²θ, β = I/A √(ρα/k), so θ = θ0 cos βx/cos(βL/2) about the middle. */
TEST(without_air_the_profile_is_a_cosine)
{
    struct lead lead = {.gauge = awg(12), .metal = METAL_COPPER, .length_m = 0.237, .jacket_mm = 0.8, .air_degc = 31,
                        .ends = {{37.5, INFINITY, 0, 0}, {37.5, INFINITY, 0, 0}}};
    const struct metal_facts *copper = &metal_facts[METAL_COPPER];
    double area_m2 = awg_area_mm2(12) * 1e-6, a = 61.3;
    double beta = a / area_m2 * sqrt(copper->ohm_mm2_per_m * 1e-6 * copper->per_k / copper->w_per_m_k);
    double lift = 37.5 - 20 + 1 / copper->per_k;
    struct lead_state state;
    CHECK(lead_solve(&lead, a, &state));
    double hottest = lift / cos(beta * 0.237 / 2) - 1 / copper->per_k + 20;
    CHECK_NEAR(state.hottest_degc, hottest, 0.02 * (hottest - 37.5)); /* slices of finite width */
    CHECK_NEAR(state.hottest_at_m, 0.237 / 2, 1e-9);
    /* All heat leaves by the ends: ∫I²ρ/A dx = 2kAθ0β tan(βL/2). */
    double heat = 2 * copper->w_per_m_k * area_m2 * lift * beta * tan(beta * 0.237 / 2);
    CHECK_REL(state.heat_w, heat, 2e-3);
    CHECK_REL(state.w_to_ends, heat, 2e-3);
    CHECK_NEAR(state.w_to_air, 0, 1e-9);
}

TEST(heat_that_is_made_is_heat_that_leaves)
{
    struct lead lead = {.gauge = {.parallel = 3, .area_mm2 = 5.1, .awg = NAN}, .metal = METAL_TINNED_COPPER,
                        .length_m = 0.31, .jacket_mm = 0.9, .bundled = true, .air_degc = 41, .emissivity = 0.88,
                        .convection = 0.6, .ends = {{44, 1.7, 2.1e-4, 0}, {39, 0.23, 1.3e-4, 6.5}}};
    struct lead_state state;
    CHECK(lead_solve(&lead, 137, &state));
    CHECK_NEAR(state.w_to_air + state.w_to_ends, state.heat_w + 6.5, 0.005 * state.heat_w);
    CHECK_REL(state.heat_w, 137 * state.drop_v, 1e-9);
    CHECK(state.end_degc[1] > state.end_degc[0]); /* the board heats its end */
    CHECK(state.decay_m > 0.05 && state.decay_m < 0.5);
}

TEST(several_thin_ones_apart_carry_more_than_one_of_their_section_and_bundled_less)
{
    struct lead one = lead_endless(&(struct gauge){.parallel = 1, .area_mm2 = 21, .awg = NAN}, METAL_COPPER, 1, 25);
    struct lead apart = lead_endless(&(struct gauge){.parallel = 4, .area_mm2 = 5.25, .awg = NAN}, METAL_COPPER, 0.8, 25);
    struct lead bundled = apart;
    bundled.bundled = true;
    struct lead_limits limits = {105, {NAN, NAN}};
    enum lead_limit limit;
    double a_one = lead_current(&one, &limits, &limit), a_apart = lead_current(&apart, &limits, &limit);
    double a_bundled = lead_current(&bundled, &limits, &limit);
    CHECK(a_apart > 1.2 * a_one);
    CHECK(a_bundled < a_apart && a_bundled > 0.8 * a_one);
}

TEST(a_hot_jacket_does_not_help_where_a_cell_sets_the_limit)
{
    struct lead lead = {.gauge = awg(10), .metal = METAL_COPPER, .length_m = 0.18, .jacket_mm = 1.2, .air_degc = 35,
                        .emissivity = 0.9, .convection = 0.7, .ends = {{42, 0.07, 1e-4, 0}, {45, 0.3, 1e-4, 4}}};
    enum lead_limit limit;
    double jacket_a = lead_current(&lead, &(struct lead_limits){200, {NAN, NAN}}, &limit);
    CHECK(limit == LEAD_JACKET);
    double cell_a = lead_current(&lead, &(struct lead_limits){200, {60, NAN}}, &limit);
    CHECK(limit == LEAD_END_0 && cell_a < 0.8 * jacket_a);
    CHECK_NEAR(lead_current(&lead, &(struct lead_limits){NAN, {30, NAN}}, &limit), 0, 0); /* warmer without any current */
    CHECK(isnan(lead_current(&lead, &(struct lead_limits){NAN, {NAN, NAN}}, &limit)) && limit == LEAD_NONE);
}

TEST(thin_conductors_have_thin_jackets)
{
    CHECK_NEAR(lead_usual_jacket_mm(awg_area_mm2(24)), 0.4, 1e-12);
    CHECK(lead_usual_jacket_mm(1.31) > 0.4 && lead_usual_jacket_mm(1.31) < 0.8);
    CHECK_NEAR(lead_usual_jacket_mm(5.26), 0.8, 1e-12);
    CHECK_NEAR(lead_usual_jacket_mm(120), 2, 1e-12);
}

TEST(what_burns_through_has_no_state)
{
    struct gauge thin = awg(18);
    struct lead lead = lead_endless(&thin, METAL_COPPER, 0.8, 30);
    struct lead_state state = {.hottest_degc = -1};
    CHECK(!lead_solve(&lead, 400, &state));
    CHECK(state.hottest_degc == -1);
    lead.convection = lead.emissivity = 0; /* nowhere for the heat to go */
    CHECK(!lead_solve(&lead, 3, &state));
}
