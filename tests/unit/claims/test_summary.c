#include "check.h"

#include "claims/summary.h"
#include "numeric/budget.h"

static const char *const names[] = {"Capacity", "Energy", "Mass", "BMS opens at 10 V", "Cycle life", "Width"};
enum { COUNT = 6 };

struct made {
    struct claim claims[COUNT];
    struct decision decisions[COUNT];
    struct record record;
    struct run run;
    struct assessment assessment;
    char text[1024];
};

static void make(struct made *m, const enum verdict verdicts[COUNT])
{
    *m = (struct made){0};
    for (int k = 0; k < COUNT; k++) {
        snprintf(m->claims[k].name, sizeof m->claims[k].name, "%s", names[k]);
        m->decisions[k] = (struct decision){.claim = &m->claims[k], .verdict = verdicts[k]};
    }
    m->assessment = (struct assessment){.decisions = m->decisions, .decision_count = COUNT, .label = label_empty(), .has_label = true};
}

static const char *summary_of(struct made *m)
{
    summary_write(&m->assessment, m->text, sizeof m->text);
    return m->text;
}

TEST(each_verdict_has_its_sentence)
{
    static const enum verdict verdicts[COUNT] = {VERDICT_MET, VERDICT_TOO_CLOSE, VERDICT_NOT_MET, VERDICT_NOT_MET,
                                                 VERDICT_NOT_TESTED, VERDICT_NOT_EXERCISED};
    struct made m;
    static struct record idle;
    make(&m, verdicts);
    CHECK(strncmp(summary_of(&m), "There are no readings yet. Mass and BMS opens", 45) == 0);
    m.assessment.records = &idle;
    m.assessment.record_count = 1;
    CHECK_TEXT(summary_of(&m), "The readings hold no discharge. Mass and BMS opens at 10 V are not what the label says. "
                               "Capacity is as claimed. Energy is too close to call. Width was not put to the test as "
                               "claimed. Cycle life was not looked at. Not tested: what it delivers and its charge; its "
                               "protections against charging in the cold, charging in the heat, an overfull cell, an empty cell "
                               "and too much current. It was not opened. One sample is one sample.");
}

TEST(a_long_list_of_what_was_not_done_is_a_number)
{
    static const enum verdict verdicts[COUNT] = {VERDICT_MET, VERDICT_NOT_TESTED, VERDICT_NOT_TESTED, VERDICT_NOT_TESTED,
                                                 VERDICT_NOT_TESTED, VERDICT_MET};
    struct made m;
    make(&m, verdicts);
    CHECK(strstr(summary_of(&m), "4 more claims were not looked at") != NULL);
    CHECK(strstr(m.text, "Cycle life") == NULL);
    CHECK(strstr(m.text, "Capacity and width are as claimed") != NULL);
}

TEST(a_claim_that_is_a_sentence_is_quoted)
{
    static const enum verdict verdicts[COUNT] = {VERDICT_MET, VERDICT_MET, VERDICT_TOO_CLOSE, VERDICT_MET,
                                                 VERDICT_TOO_CLOSE, VERDICT_TOO_CLOSE};
    struct made m;
    make(&m, verdicts);
    snprintf(m.claims[3].as_stated, sizeof m.claims[3].as_stated, "yes");
    CHECK(strstr(summary_of(&m), "Capacity, energy and 'BMS opens at 10 V' are as claimed. ") != NULL);
}

TEST(nothing_looked_at_is_not_said_to_be_more)
{
    static const enum verdict verdicts[COUNT] = {VERDICT_NOT_TESTED, VERDICT_NOT_TESTED, VERDICT_NOT_TESTED,
                                                 VERDICT_NOT_TESTED, VERDICT_NOT_TESTED, VERDICT_NOT_TESTED};
    struct made m;
    make(&m, verdicts);
    CHECK(strstr(summary_of(&m), "None of the 6 claims was looked at.") != NULL && strstr(m.text, "more") == NULL);
}

static struct measure about(double value, double half)
{
    struct measure m = measure_of(value);
    measure_part(&m, (struct part){.cause = CAUSE_GAIN_CURRENT, .shape = SHAPE_RECTANGULAR, .u = half / sqrt(3), .dof = INFINITY,
                                   .what = "", .remedy = ""});
    budget_close(&m);
    return m;
}

TEST(says_what_was_delivered_and_leaves_out_what_is_not_known)
{
    struct made m = {0};
    m.record.by_eye = true;
    m.record.findings = (struct findings){.has_test = true, .test_ah = about(61.37, 0.8), .test_wh = about(787.4, 12)};
    m.assessment = (struct assessment){.records = &m.record, .record_count = 1, .label = label_empty()};
    CHECK(strncmp(summary_of(&m), "It delivered 61.37 ± 0.76 Ah and 787 ± 11 Wh; it was not full before. ", 72) == 0);
    m.record.findings.test_wh = measure_unknown("no volts");
    m.record.findings.full_before = 1;
    CHECK(strncmp(summary_of(&m), "It delivered 61.37 ± 0.76 Ah; it was shown to be full before. ", 62) == 0);
}

TEST(what_does_not_go_together_comes_first_and_what_the_board_did_is_said)
{
    struct made m = {0};
    struct contradiction two[2] = {{.words = "The label says 100 A: the board is for 80 A."}, {.words = "Another."}};
    struct charging charge = {.full = FULL_SHOWN};
    struct trip trips[2] = {{.charging = true, .way = TRIP_COLD, .trip_degc = about(1.3, 0.8)},
                            {.charging = true, .way = TRIP_HOT, .trip_degc = measure_unknown("no probe")}};
    struct low_stop low = {.end_v = about(9.87, 0.03)};
    trips[0].threshold_degc = trips[1].threshold_degc = measure_unknown("no slow ramp");
    m.record.findings = (struct findings){.chargings = &charge, .charging_count = 1, .trips = trips, .trip_count = 2};
    m.assessment = (struct assessment){.records = &m.record, .record_count = 1, .label = label_empty(), .contradictions = two,
                                       .contradiction_count = 2, .has_opened = true, .inspection.weakest = SIZE_MAX};
    CHECK_TEXT(summary_of(&m), "The label says 100 A: the board is for 80 A. 1 more thing does not go together. The readings hold "
                               "no discharge. In the cold it stopped a charge at 1.30 ± 0.76 °C, where the probe "
                               "lay. In the warmth it stopped a charge; at which temperature was not measured. Not tested: "
                               "what it delivers; its protections against an overfull cell, an empty cell and too much current. "
                               "One sample is one sample.");
    trips[0].threshold_degc = about(2.1, 1.1);
    m.record.findings.low_stops = &low;
    m.record.findings.low_stop_count = 1;
    CHECK(strstr(summary_of(&m), "In the cold it stopped a charge at 2.1 ± 1.0 °C, its threshold by slow ramps. ") != NULL);
    CHECK(strstr(m.text, "Empty, it stopped a discharge at 9.870 ± 0.028 V. Not tested: what it delivers; its protections against "
                         "an overfull cell and too much current. ") != NULL);
}

TEST(where_there_is_no_room_whole_sentences_are_left_out)
{
    static const enum verdict verdicts[COUNT] = {VERDICT_MET, VERDICT_TOO_CLOSE, VERDICT_NOT_MET, VERDICT_NOT_MET,
                                                 VERDICT_NOT_TESTED, VERDICT_NOT_EXERCISED};
    struct made m;
    char few[110];
    make(&m, verdicts);
    summary_write(&m.assessment, few, sizeof few);
    CHECK_TEXT(few, "There are no readings yet. Mass and BMS opens at 10 V are not what the label says. One sample is one sample.");
}
