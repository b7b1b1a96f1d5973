#include "check.h"

#include "claims/missing.h"

static const struct missing *find(const struct missing_list *list, const char *what)
{
    for (size_t k = 0; k < list->count; k++)
        if (strstr(list->items[k].what, what) != NULL)
            return &list->items[k];
    return NULL;
}

static struct assessment assessed(const char *log, const char *label, const char *rig)
{
    struct assessment assessment = {0};
    struct message message = {0};
    const char *logs[] = {log};
    struct assess_request request = {.logs = logs, .log_count = log != NULL, .label = label, .rig = rig};
    CHECK(assess(&request, &assessment, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    return assessment;
}

static void check_all_filled(const struct missing_list *list)
{
    for (size_t k = 0; k < list->count; k++) {
        const struct missing *item = &list->items[k];
        CHECK(item->what[0] != '\0' && item->next[0] != '\0' && item->helps[0] != '\0');
        CHECK(k == 0 || item->weight >= list->items[k - 1].weight);
        CHECK(isnan(item->share) || (item->share >= 0 && item->share <= 1));
    }
}

TEST(every_open_claim_of_the_demo_is_there)
{
    struct assessment demo = assessed("demo/hut-pack.log.csv", "demo/hut-pack.label", "demo/hut-pack.rig");
    struct missing_list list = missing_find(&demo);
    check_all_filled(&list);
    CHECK(list.items[0].weight == MISSING_BASIS && strstr(list.items[0].what, "invented") != NULL);
    for (size_t k = 0; k < demo.decision_count; k++) {
        const struct decision *d = &demo.decisions[k];
        bool open = d->verdict == VERDICT_TOO_CLOSE || d->verdict == VERDICT_NOT_EXERCISED, named = false;
        for (size_t j = 0; j < list.count; j++)
            named |= list.items[j].claim == k && strstr(list.items[j].what, d->claim->name) == list.items[j].what;
        CHECK(named == open);
    }
    const struct missing *energy = find(&list, "Energy is too close to call");
    CHECK(energy != NULL && strstr(energy->helps, "known to ±22 Wh") != NULL); /* 1283 ± 22 Wh */
    CHECK(find(&list, "Not tested, since nobody looked at: ") != NULL);
    CHECK(find(&list, "cycle life") != NULL || find(&list, "Cycle life") != NULL);
    CHECK(find(&list, "Nothing shows that it was full at the start") != NULL);
    CHECK(find(&list, "How long it rested") != NULL);
    CHECK(find(&list, "The discharge was run once") != NULL && find(&list, "One sample is one sample") != NULL);
    CHECK(find(&list, "Nobody stated how accurate") == NULL); /* the rig states both */
    CHECK(find(&list, "without rate, temperature or cut-off") == NULL);
    missing_free(&list);
    assessment_free(&demo);
}

TEST(a_rig_that_nobody_stated_is_named_with_its_share)
{
    struct assessment demo = assessed("demo/hut-pack.log.csv", "demo/hut-pack.label", NULL);
    struct missing_list list = missing_find(&demo);
    const struct missing *rig = find(&list, "Nobody stated how accurate the meters are");
    CHECK(rig != NULL && rig->weight == MISSING_DOUBT && rig->share > 0.5);
    CHECK(strstr(rig->helps, "% of the variance of the charge") != NULL);
    missing_free(&list);
    assessment_free(&demo);
}

TEST(readings_by_eye_and_a_bare_label_are_named)
{
    struct assessment film = assessed("demo/bivouac-pack.readings", "demo/bivouac-pack.label", NULL);
    struct missing_list list = missing_find(&film);
    check_all_filled(&list);
    const struct missing *eye = find(&list, "read by eye");
    CHECK(eye != NULL && isfinite(eye->share));
    CHECK(find(&list, "The label states its capacity without") != NULL);
    CHECK(find(&list, "The sample was not bought for the test") != NULL);
    CHECK(find(&list, "1 question of the tester's own stands open") != NULL);
    missing_free(&list);
    assessment_free(&film);
}

TEST(without_label_or_readings_the_basis_is_missing)
{
    struct assessment bare = assessed("demo/hut-pack.log.csv", NULL, NULL);
    struct missing_list list = missing_find(&bare);
    CHECK(list.items[0].weight == MISSING_BASIS && find(&list, "No claim is stated") != NULL);
    missing_free(&list);
    assessment_free(&bare);
    struct assessment label_alone = assessed(NULL, "demo/hut-pack.label", NULL);
    list = missing_find(&label_alone);
    check_all_filled(&list);
    CHECK(find(&list, "There are no readings") != NULL);
    CHECK(find(&list, "One sample is one sample") == NULL);
    missing_free(&list);
    assessment_free(&label_alone);
}
