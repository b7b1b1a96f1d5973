#include "check.h"

#include "claims/contradictions.h"
#include "claims/rated_of.h"
#include "numeric/budget.h"

#include <stdint.h>
#include <string.h>

enum { CLAIMS = 5 };
static const struct { const char *name; enum claim_kind kind; double stated; } claim_rows[CLAIMS] = {
    {"Continuous current", CLAIM_CONTINUOUS_CURRENT, 100}, {"Capacity", CLAIM_CAPACITY, 100},
    {"Energy", CLAIM_ENERGY, 1280}, {"Cells in series", CLAIM_CELLS, 4}, {"Housing IP65", CLAIM_YES_NO, NAN},
};

struct made {
    struct claim claims[CLAIMS];
    struct decision decisions[CLAIMS];
    struct record record;
    struct assessment a;
};

static void make(struct made *m, const char *opened)
{
    struct message message;
    *m = (struct made){0};
    m->a = (struct assessment){.decisions = m->decisions, .decision_count = CLAIMS, .records = &m->record, .record_count = 1,
                               .label = label_empty()};
    for (int k = 0; k < CLAIMS; k++) {
        m->claims[k] = (struct claim){.kind = claim_rows[k].kind, .stated = claim_rows[k].stated};
        snprintf(m->claims[k].name, sizeof m->claims[k].name, "%s", claim_rows[k].name);
        m->decisions[k] = (struct decision){.claim = &m->claims[k], .verdict = VERDICT_NOT_TESTED, .record = SIZE_MAX};
    }
    m->record.findings.full_before = NAN;
    struct rated rated = rated_nothing();
    rated.continuous_a = 100;
    rated.rated_ah = 100;
    rated.cells = 4;
    rated.claims_ingress = true;
    snprintf(rated.ingress, sizeof rated.ingress, "IP65");
    CHECK(opened_read_text("hut.opened", span_of(opened), &m->a.opened, &message) == STATUS_OK);
    CHECK(inspect(&m->a.opened, &rated, &m->a.inspection, &message) == STATUS_OK);
    m->a.has_opened = true;
}

static void let_go(struct made *m)
{
    inspection_free(&m->a.inspection);
    opened_free(&m->a.opened);
    free(m->a.contradictions);
}

TEST(the_label_against_the_opened_sample_the_current_first)
{
    struct made m;
    make(&m, "[vent]\ntype = hole\nopening = 6 mm\n[cells]\ncount = 4\narrangement = 4S1P\nrated = 90 Ah\n"
             "[board]\nrating = 80 A\nprinted = HX-4S-80\n");
    contradictions_find(&m.a);
    CHECK(m.a.contradiction_count == 3);
    CHECK_TEXT(m.a.contradictions[0].words, "The label says 100 A continuous: the board in it is marked for 80 A.");
    CHECK_TEXT(m.a.contradictions[0].item, "board");
    CHECK(m.a.contradictions[0].claim == 0);
    CHECK_TEXT(m.a.contradictions[1].words, "The label says 100 Ah: its cells are printed for 90 Ah.");
    CHECK(m.a.contradictions[1].claim == 1);
    CHECK(strncmp(m.a.contradictions[2].words, "The label says IP65: ", 21) == 0 && m.a.contradictions[2].claim == 4);
    let_go(&m);
}

TEST(what_goes_together_is_no_contradiction)
{
    struct made m;
    make(&m, "[cells]\ncount = 4\narrangement = 4S1P\nrated = 100 Ah\n[board]\nrating = 100 A\n");
    m.decisions[0].verdict = m.decisions[1].verdict = VERDICT_MET;
    m.decisions[1].record = 0;
    m.record.findings.full_before = 1;
    contradictions_find(&m.a);
    CHECK(m.a.contradiction_count == 0);
    let_go(&m);
}

TEST(met_by_a_sample_not_shown_to_be_full)
{
    struct made m;
    make(&m, "[opened]\n");
    m.decisions[1].verdict = m.decisions[2].verdict = VERDICT_MET;
    m.decisions[1].record = m.decisions[2].record = 0;
    contradictions_find(&m.a);
    CHECK(m.a.contradiction_count == 1 && m.a.contradictions[0].claim == 1);
    CHECK_TEXT(m.a.contradictions[0].words, "Capacity and energy are met by a sample that was not shown to be full when the test "
                                            "began: what it holds is that much or more.");
    m.a.contradiction_count = 0;
    m.decisions[1].verdict = VERDICT_NOT_MET; /* of one that was not full: nothing to wonder at */
    m.record.findings.full_before = 0;
    contradictions_find(&m.a);
    CHECK(m.a.contradiction_count == 1 && strncmp(m.a.contradictions[0].words, "Energy is met by a sample that was not full", 43) == 0);
    let_go(&m);
}

TEST(a_current_that_was_carried_beyond_a_part)
{
    struct made m;
    make(&m, "[fuse]\nrating = 80 A\n");
    m.decisions[0].verdict = VERDICT_MET;
    contradictions_find(&m.a);
    CHECK(m.a.contradiction_count == 2); /* the label against the fuse, and the test against it */
    CHECK(strstr(m.a.contradictions[1].words, "carried the claimed 100 A in the test, and the fuse is marked for 80 A") != NULL);
    let_go(&m);
}

TEST(a_tally_and_a_label_that_do_not_add_up)
{
    struct made m;
    make(&m, "[opened]\n");
    m.record.findings.tally_ah = (struct tally_check){.present = true, .e_n = 2.5, .words = "the tally gives 97 Ah"};
    m.record.findings.tally_wh = (struct tally_check){.present = true, .e_n = NAN};
    m.a.label.nominal_v = 12.8;
    m.a.label.rated_ah = 100;
    m.a.label.rated_wh = 1400;
    contradictions_find(&m.a);
    CHECK(m.a.contradiction_count == 2 && m.a.contradictions[0].claim == 1 && m.a.contradictions[1].claim == 2);
    CHECK(strstr(m.a.contradictions[1].words, "is 1280 Wh, stated are 1400 Wh (+9.4 %)") != NULL);
    let_go(&m);
}

static struct measure about(double value, double half)
{
    struct measure m = measure_of(value);
    measure_part(&m, (struct part){.cause = CAUSE_GAIN_CURRENT, .shape = SHAPE_RECTANGULAR, .u = half / sqrt(3), .dof = INFINITY,
                                   .what = "", .remedy = ""});
    budget_close(&m);
    return m;
}

TEST(codes_of_another_chemistry_or_made_after_the_test)
{
    struct made m;
    make(&m, "[opened]\ndate = 2026-02-17\n[cells]\narrangement = 4S1P\ncode = ZZZCE99HUT0001E7B0000412\n"
             "code = ZZZCB99HUT0001E7B0000415\ncode = ZZZCE99HUT0001E7\n");
    m.a.label.lithium_iron_phosphate = true;
    contradictions_find(&m.a);
    CHECK(m.a.contradiction_count == 1); /* the third does not read and says nothing */
    CHECK(strstr(m.a.contradictions[0].words, "lithium iron phosphate: the code on one of its cells stands for another chemistry") != NULL);
    CHECK_TEXT(m.a.contradictions[0].item, "cells");
    m.a.inspection.year = 2024; /* 2024-07-11 by the codes */
    m.a.inspection.month = 7;
    m.a.inspection.day = 9;
    m.a.label.lithium_iron_phosphate = false;
    m.a.contradiction_count = 0;
    contradictions_find(&m.a);
    CHECK(m.a.contradiction_count == 1 && strstr(m.a.contradictions[0].words, " 2 days after the test") != NULL);
    let_go(&m);
}

TEST(a_charge_that_went_on_though_the_label_says_that_it_stops)
{
    struct made m;
    make(&m, "[opened]\n");
    snprintf(m.claims[4].name, sizeof m.claims[4].name, "Charging stops when cold");
    m.decisions[4].verdict = VERDICT_NOT_EXERCISED;
    m.decisions[4].reached = NAN;
    contradictions_find(&m.a);
    CHECK(m.a.contradiction_count == 0);
    m.decisions[4].reached = -4.3;
    snprintf(m.decisions[4].reason, sizeof m.decisions[4].reason, "a charge went on with the probe at -4.3 °C");
    contradictions_find(&m.a);
    CHECK(m.a.contradiction_count == 1 && m.a.contradictions[0].claim == 4);
    CHECK_TEXT(m.a.contradictions[0].words, "The label says 'charging stops when cold': a charge went on with the probe at -4.3 °C.");
    let_go(&m);
}

TEST(two_findings_of_one_thing_that_part)
{
    struct made m;
    make(&m, "[case]\nmass = 11.24 kg ± 0.03 kg\n");
    m.claims[2] = (struct claim){.kind = CLAIM_MASS, .stated = 10.9, .quantity = QUANTITY_MASS, .name = "Mass"};
    m.decisions[2].measured = about(11.21, 0.05);
    m.record.findings.efficiency_charge = about(0.996, 0.01);
    m.a.decide = 0.975;
    contradictions_find(&m.a);
    CHECK(m.a.contradiction_count == 0);
    m.decisions[2].measured = about(10.87, 0.05);
    m.record.findings.efficiency_charge = about(1.043, 0.01);
    contradictions_find(&m.a);
    CHECK(m.a.contradiction_count == 2);
    CHECK(strstr(m.a.contradictions[0].words, "More charge came out than went in, 104.3") != NULL);
    CHECK(strstr(m.a.contradictions[1].words, "Its mass was found as 10.87") != NULL);
    CHECK_TEXT(m.a.contradictions[1].item, "case");
    CHECK(m.a.contradictions[1].claim == 2);
    let_go(&m);
}

TEST(a_part_whose_limit_is_not_sure_to_be_below_is_no_contradiction)
{
    struct made m;
    make(&m, "[fuse]\nrating = 98 A\n");
    m.decisions[0].verdict = VERDICT_MET;
    m.a.inspection.items[0].limit_u_a = 4;
    contradictions_find(&m.a);
    CHECK(m.a.contradiction_count == 1 && strstr(m.a.contradictions[0].words, "carried") == NULL);
    let_go(&m);
}

TEST(cells_and_volts_of_the_label_that_part)
{
    struct made m;
    make(&m, "[opened]\n");
    m.a.label.lithium_iron_phosphate = true;
    m.a.label.cells = 4;
    m.a.label.nominal_v = 25.6;
    m.a.label.cells_inferred = true;
    contradictions_find(&m.a);
    CHECK(m.a.contradiction_count == 0);
    m.a.label.cells_inferred = false;
    contradictions_find(&m.a);
    CHECK(m.a.contradiction_count == 1 && m.a.contradictions[0].claim == 3);
    CHECK(strstr(m.a.contradictions[0].words, "4 cells in series give 12.8 V nominal, stated are 25.6 V") != NULL);
    let_go(&m);
}
