#include "check.h"

#include "teardown/lead_findings.h"

static const struct lead lead = {
    .gauge = {.parallel = 2, .area_mm2 = 8.37, .awg = 8}, .metal = METAL_COPPER, .length_m = 0.24, .jacket_mm = 0.8,
    .air_degc = 34, .emissivity = 0.9, .convection = 0.8, .ends = {{41, 0.09, 6e-5, 0}, {46, 0.4, 9e-5, 3}},
};

TEST(each_finding_has_a_value_and_an_interval_about_it)
{
    struct lead_doubts doubts = lead_doubts_usual();
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

TEST(what_burns_cannot_be_told)
{
    struct lead_doubts doubts = lead_doubts_usual();
    struct lead thin = lead;
    thin.gauge = (struct gauge){.parallel = 1, .area_mm2 = 0.82, .awg = 18};
    thin.length_m = 1.2;
    struct lead_findings f;
    lead_find(&thin, &doubts, &(struct lead_limits){105, {NAN, NAN}}, 500, &f);
    CHECK(f.burns && !measure_known(&f.drop_v) && f.drop_v.why[0] != '\0');
    CHECK(measure_known(&f.allowed_a) && f.allowed_a.value < 60);
}
