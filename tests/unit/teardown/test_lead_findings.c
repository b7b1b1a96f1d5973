#include "check.h"

#include "teardown/lead_findings.h"

static const struct lead lead = {
    .gauge = {.parallel = 2, .area_mm2 = 8.37, .awg = 8}, .metal = METAL_COPPER, .length_m = 0.24, .jacket_mm = 0.8,
    .air_degc = 34, .emissivity = 0.9, .convection = 0.8, .ends = {{41, 0.09, 6e-5, 0}, {46, 0.4, 9e-5, 3}},
};

TEST(each_finding_has_a_value_and_an_interval_about_it)
{
    struct lead_doubts doubts = lead_doubts_usual(&lead.gauge);
    struct lead_findings f;
    struct lead_state state;
    lead_find(&lead, &doubts, &(struct lead_limits){105, {60, NAN}}, 96, &f);
    CHECK(lead_solve(&lead, 96, &state) && !f.burns);
    CHECK_REL(f.drop_v.value, state.drop_v, 1e-12);
    CHECK_REL(f.hottest_degc.value, state.hottest_degc, 1e-12);
    CHECK_REL(f.a_per_mm2, 96 / 16.74, 1e-12);
    const struct measure *all[] = {&f.ohm, &f.drop_v, &f.heat_w, &f.hottest_degc, &f.allowed_a};
    for (size_t k = 0; k < sizeof all / sizeof all[0]; k++)
        CHECK(all[k]->lo < all[k]->value && all[k]->value < all[k]->hi);
    CHECK(f.limit == LEAD_END_0);
}

/* IEC 60228, largest ohms per kilometre at 20 °C of plain copper: classes 1 and 2, and class 5. A printed section may have any of
 * them, and what is computed of it with its interval must reach as far. */
TEST(the_doubt_of_a_printed_section_reaches_what_the_standard_allows)
{
    static const struct {
        double area_mm2, stiff, flexible;
    } rows[] = {{0.5, 36, 39},       {0.75, 24.5, 26},    {1, 18.1, 19.5},     {1.5, 12.1, 13.3},   {2.5, 7.41, 7.98},
                {4, 4.61, 4.95},     {6, 3.08, 3.30},     {10, 1.83, 1.91},    {16, 1.15, 1.21},    {25, 0.727, 0.780},
                {35, 0.524, 0.554},  {50, 0.387, 0.386},  {70, 0.268, 0.272},  {95, 0.193, 0.206},  {120, 0.153, 0.161}};
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        struct gauge gauge = {.parallel = 1, .area_mm2 = rows[k].area_mm2, .awg = NAN};
        double copper = 1000 * metal_resistivity(METAL_COPPER, 20) / rows[k].area_mm2;
        double share = lead_doubts_usual(&gauge).area_share + metal_facts[METAL_COPPER].spread;
        CHECK(rows[k].stiff > copper && rows[k].flexible > copper); /* never less than the section itself */
        CHECK(rows[k].stiff < copper / (1 - share) && rows[k].flexible < copper / (1 - share));
    }
}

/* NEC chapter 9, table 8: stranded, uncoated, ohms per 1000 ft at 75 °C. Of American gauges the metal's area is what is
 * named: the strands' lay makes some 2 % more. */
TEST(american_gauges_have_the_ohms_of_their_tables_within_their_doubt)
{
    static const double rows[][2] = {{18, 7.95}, {16, 4.99},  {14, 3.14},  {12, 1.98},   {10, 1.24},   {8, 0.778},   {6, 0.491},
                                     {4, 0.308}, {3, 0.245},  {2, 0.194},  {1, 0.154},   {0, 0.122},   {-1, 0.0967}, {-2, 0.0766},
                                     {-3, 0.0608}};
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        struct gauge gauge = {.parallel = 1, .area_mm2 = awg_area_mm2(rows[k][0]), .awg = rows[k][0]};
        double copper = 304.8 * metal_resistivity(METAL_COPPER, 75) / gauge.area_mm2;
        CHECK(rows[k][1] > 1.005 * copper && rows[k][1] < 1.03 * copper);
        CHECK(rows[k][1] < copper * (1 + lead_doubts_usual(&gauge).area_share));
    }
}

/* Half the section's doubt alone: R = ρL/A + joints, so u(R)/R is u(A)/A of the metal's share. */
TEST(the_section_in_doubt_moves_the_resistance_by_its_share)
{
    struct lead_doubts doubts = {.area_share = 0.08};
    struct lead cold = lead;
    cold.emissivity = 0.9;
    struct lead_findings f;
    struct lead_state state;
    lead_find(&cold, &doubts, &(struct lead_limits){NAN, {NAN, NAN}}, 0.5, &f); /* cold: no feedback by warmth */
    CHECK(lead_solve(&cold, 0.5, &state));
    CHECK_REL(f.ohm.u, (0.08 + 0.01) / sqrt(3) * state.metal_ohm, 0.02);
    CHECK(!measure_known(&f.allowed_a));
}

/* Air 15 K above that outside at 90 A, give or take 8 K, is so by the square of the current: the ends of that doubt, solved
 * outright, lie about where the interval ends; it is symmetrical, and the doubt is not. */
TEST(what_warms_with_the_current_is_in_doubt_with_it)
{
    struct lead_limits limits = {200, {60, 60}};
    struct lead warm = lead, mild = lead, hot = lead;
    struct lead_doubts doubts = {.air_k = 8, .end_k = 8, .at_a = 90};
    struct lead_findings f;
    enum lead_limit limit;
    struct lead *const all[] = {&mild, &warm, &hot};
    for (int k = 0; k < 3; k++) {
        double rise = (15 + 8 * 0.95 * (k - 1)) / (90 * 90);
        all[k]->air_degc = all[k]->ends[0].degc = all[k]->ends[1].degc = 25;
        all[k]->air_k_per_a2 = all[k]->ends[0].k_per_a2 = all[k]->ends[1].k_per_a2 = rise;
    }
    lead_find(&warm, &doubts, &limits, 90, &f);
    double least_a = lead_current(&hot, &limits, &limit), most_a = lead_current(&mild, &limits, &limit);
    CHECK(least_a < f.allowed_a.value && f.allowed_a.value < most_a);
    CHECK(f.allowed_a.hi - f.allowed_a.lo > 0.7 * (most_a - least_a));
    CHECK(f.allowed_a.lo <= 1.02 * least_a);
}

TEST(joints_that_carry_less_heat_are_in_doubt_too)
{
    struct lead_doubts doubts = {.joint_share = 0.5}, none = {0};
    struct lead quiet = lead;
    quiet.ends[0].ohm = quiet.ends[1].ohm = 0;
    struct lead_findings f, sure;
    lead_find(&quiet, &doubts, &(struct lead_limits){NAN, {60, NAN}}, 96, &f);
    lead_find(&quiet, &none, &(struct lead_limits){NAN, {60, NAN}}, 96, &sure);
    CHECK(f.hottest_degc.u > 2 * sure.hottest_degc.u && f.allowed_a.u > 2 * sure.allowed_a.u);
}

TEST(what_burns_cannot_be_told)
{
    struct lead_doubts doubts = lead_doubts_usual(&lead.gauge);
    struct lead thin = lead;
    thin.gauge = (struct gauge){.parallel = 1, .area_mm2 = 0.82, .awg = 18};
    thin.length_m = 1.2;
    struct lead_findings f;
    lead_find(&thin, &doubts, &(struct lead_limits){105, {NAN, NAN}}, 500, &f);
    CHECK(f.burns && !measure_known(&f.drop_v) && f.drop_v.why[0] != '\0');
    CHECK(measure_known(&f.allowed_a) && f.allowed_a.value < 60);
}

/* A cell half a kelvin below its limit, known to three: the lead may carry what its jacket allows, or nothing. */
TEST(a_limit_nearly_met_without_current_leaves_the_current_open)
{
    struct lead_doubts doubts = lead_doubts_usual(&lead.gauge);
    struct lead_limits limits = {105, {60, NAN}};
    struct lead warm = lead;
    warm.ends[0] = (struct lead_end){.degc = 59.5, .w_per_k = INFINITY};
    struct lead_findings f;
    lead_find(&warm, &doubts, &limits, 20, &f);
    CHECK(measure_known(&f.allowed_a) && f.allowed_a.u * sqrt(3) > 0.95 * f.allowed_a.value);
    warm.ends[0].degc = 64;
    lead_find(&warm, &doubts, &limits, 20, &f);
    CHECK(!measure_known(&f.allowed_a) && f.allowed_a.why[0] != '\0');
}
