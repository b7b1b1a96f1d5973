#include "check.h"

#include "claims/contradictions.h"
#include "claims/rated_of.h"

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
    CHECK_TEXT(m.a.contradictions[0].words, "The label says 100 A continuous: the board here is for 80 A.");
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
    CHECK(strstr(m.a.contradictions[1].words, "carried the claimed 100 A in the test, and the fuse allows 80 A") != NULL);
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
