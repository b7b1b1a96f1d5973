#include "check.h"

#include "claims/assessment.h"

static const char *const log_path[] = {"demo/hut-pack.log.csv"};
static const char *const eye_path[] = {"demo/bivouac-pack.readings"};

static enum status assess_demo(struct assess_request request, struct assessment *a, struct message *message)
{
    *message = (struct message){0};
    return assess(&request, a, message);
}

TEST(a_log_with_all_its_papers)
{
    struct assessment a;
    struct message message;
    struct assess_request request = {.logs = log_path, .log_count = 1, .label = "demo/hut-pack.label", .rig = "demo/hut-pack.rig",
                                     .cut_offs = {11.35}, .cut_off_count = 1};
    CHECK(assess_demo(request, &a, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    CHECK(a.has_label && a.invented && a.record_count == 1 && !a.records[0].by_eye);
    CHECK(a.decision_count == a.label.claim_count && a.decision_count > 10);
    CHECK_NEAR(a.decide, 0.975, 0);
    size_t total = 0;
    for (int v = VERDICT_MET; v <= VERDICT_NOT_TESTED; v++)
        total += verdict_count(&a, (enum verdict)v);
    CHECK(total == a.decision_count);
    for (size_t k = 0; k < a.decision_count; k++)
        CHECK(a.decisions[k].claim == &a.label.claims[k]);
    CHECK(assessment_main(&a) == &a.records[0]);
    CHECK(a.summary[0] != '\0');
    bool own = false, labelled = false; /* the cut-offs of the command line and of the label */
    for (size_t k = 0; k < a.records[0].findings.capacity_count; k++) {
        const struct capacity *c = &a.records[0].findings.capacities[k];
        own |= c->asked && fabs(c->cut_off_v - 11.35) < 1e-12;
        labelled |= c->asked && c->cut_off_v == 10;
    }
    CHECK(own && labelled);
    assessment_free(&a);
}

TEST(readings_by_eye_are_known_by_their_looks)
{
    struct assessment a;
    struct message message;
    struct assess_request request = {.logs = eye_path, .log_count = 1, .label = "demo/bivouac-pack.label", .decide = 0.9};
    CHECK(assess_demo(request, &a, &message) == STATUS_OK);
    CHECK(a.records[0].by_eye && a.records[0].sightings.count > 8);
    CHECK_NEAR(a.decide, 0.9, 0);
    CHECK(a.decisions[1].verdict == VERDICT_NOT_MET); /* 42 Ah of 50 */
    bool said = false;
    for (size_t k = 0; k < a.notices.count; k++)
        said |= strcmp(a.notices.items[k].topic, "rig") == 0;
    CHECK(said); /* that no rig file stands behind it */
    assessment_free(&a);
}

TEST(the_main_record_is_the_largest_discharge)
{
    static const char *const both[] = {"demo/bivouac-pack.readings", "demo/hut-pack.log.csv"};
    struct assessment a;
    struct message message;
    struct assess_request request = {.logs = both, .log_count = 2};
    CHECK(assess_demo(request, &a, &message) == STATUS_OK);
    CHECK(!a.has_label && a.decision_count == 0);
    CHECK(assessment_main(&a) == &a.records[1]);
    bool ripple = false; /* a notice says which log it is of */
    for (size_t k = 0; k < a.notices.count; k++)
        ripple |= strncmp(a.notices.items[k].text, "hut-pack.log.csv: ", 18) == 0;
    CHECK(ripple);
    assessment_free(&a);
}

TEST(the_sign_can_be_asked_for)
{
    struct assessment a;
    struct message message;
    struct assess_request request = {.logs = log_path, .log_count = 1, .sign = -1};
    CHECK(assess_demo(request, &a, &message) == STATUS_OK);
    CHECK(a.records[0].direction.sign == -1);
    CHECK(!a.records[0].findings.has_test); /* turned about, it is a charge */
    CHECK(assessment_main(&a) == NULL);
    assessment_free(&a);
}

/* Nothing is handed over when something fails, and the message names the file. */
static void refuses(struct assess_request request, enum status status, const char *file)
{
    struct assessment a = {.decide = 0.123};
    struct message message;
    CHECK(assess_demo(request, &a, &message) == status);
    if (strstr(message.file, file) == NULL)
        CHECK_TEXT(message.file, file);
    CHECK_NEAR(a.decide, 0.123, 0);
}

TEST(what_fails_names_its_file)
{
    static const char *const absent[] = {"demo/hut-pack.log.csv", "demo/absent.csv"};
    refuses((struct assess_request){.logs = absent, .log_count = 2}, STATUS_UNREADABLE, "absent.csv");
    refuses((struct assess_request){.logs = log_path, .log_count = 1, .label = "demo/absent.label"}, STATUS_UNREADABLE, "absent.label");
    refuses((struct assess_request){.logs = log_path, .log_count = 1, .label = "demo/hut-pack.rig"}, STATUS_MALFORMED, "hut-pack.rig");
    refuses((struct assess_request){.logs = log_path, .log_count = 1, .rig = "demo/hut-pack.label"}, STATUS_MALFORMED, "hut-pack.label");
    refuses((struct assess_request){.logs = log_path, .log_count = 1, .plan = "demo/hut-pack.loads"}, STATUS_MALFORMED, "hut-pack.loads");
}
