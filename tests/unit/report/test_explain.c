#include "made.h"

#include "report/account.h"
#include "report/explain.h"

TEST(parts_by_falling_share)
{
    struct measure m = made_measure(61.2, 0.6, 0.05);
    int order[MEASURE_PARTS];
    double share[MEASURE_PARTS];
    CHECK(budget_order(&m, order, share) == 2);
    CHECK(order[0] == 1 && order[1] == 0);
    double gain2 = 0.6 * 0.6 / 3, noise2 = 0.05 * 0.05;
    CHECK_NEAR(share[0], gain2 / (gain2 + noise2), 1e-12);
    CHECK_NEAR(share[0] + share[1], 1, 1e-12);
}

TEST(a_claim_down_to_its_budget)
{
    struct made made;
    made_start(&made, "[claims]\nwidth = 173 mm | case\ncapacity = 60 Ah | listing\n");
    made_decide(&made, 0, VERDICT_MET, made_measure(0.1712, 0.0006, 0.00005), "171.2 mm", "1.8 mm under, rule", "");
    made.decisions[0].probability = 0.99991;
    struct text text = TEXT_EMPTY;
    struct message message = {0};
    CHECK(explain_finding(&made.assessment, "width", 100, &text, &message) == STATUS_OK);
    has(&text, "Width: 173 mm (case)\nverdict: met, probability of conformity 0.9999; decided at 0.975");
    has(&text, "measured: 171.20 ± 0.58 mm (95 % interval 170.62 to 171.78)"); /* in the unit people write */
    has(&text, "gain of the shunt, rectangular, one error throughout");
    has(&text, "What would shrink it: a better shunt");
    text_free(&text);
    CHECK(explain_finding(&made.assessment, "Capacity", 100, &text, &message) == STATUS_OK);
    has(&text, "cannot tell: nothing in the readings bears on it");
    text_free(&text);
    made_end(&made);
}

TEST(an_unknown_finding_is_a_usage_error)
{
    struct made made;
    made_start(&made, "[claims]\nmass = 7 kg\n");
    struct text text = TEXT_EMPTY;
    struct message message = {0};
    CHECK(explain_finding(&made.assessment, "colour", 100, &text, &message) == STATUS_USAGE);
    CHECK(strstr(message.remedy, "charge, energy") != NULL && strstr(message.remedy, "claim of the label") != NULL);
    CHECK(text.length == 0);
    made_end(&made);
}

/* Every finding of a log with everything and of readings by eye, and of a log that holds no discharge. */
TEST(every_finding_can_be_explained)
{
    static const char *const findings[] = {"charge", "energy", "mean voltage", "resistance", "burst", "load", "ending", "tally",
                                           "conditions", "rate"};
    static const char *const logs[] = {"demo/hut-pack.log.csv", "demo/hut-pack.readings"};
    for (int sign = -1; sign <= 1; sign += 2) {
        struct assess_request request = {.logs = logs, .log_count = 2, .rig = "demo/hut-pack.rig", .sign = sign};
        struct assessment a;
        struct message message = {0};
        CHECK(assess(&request, &a, &message) == STATUS_OK);
        for (size_t k = 0; k < sizeof findings / sizeof *findings; k++) {
            struct text text = TEXT_EMPTY;
            CHECK(explain_finding(&a, findings[k], 90, &text, &message) == STATUS_OK);
            CHECK(text.length > 20);
            if (k < 9) {
                has(&text, "from demo/hut-pack.log.csv: 7785 readings");
                has(&text, "from demo/hut-pack.readings: ");
            }
            text_free(&text);
        }
        assessment_free(&a);
    }
}
