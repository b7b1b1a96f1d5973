#include "assessed.h"
#include "well_formed.h"

#include "report/cautions.h"
#include "report/page.h"

static size_t count_of(const char *text, const char *part)
{
    size_t count = 0;
    for (const char *p = text; (p = strstr(p, part)) != NULL; p += strlen(part))
        count++;
    return count;
}

static struct text page_of(const struct assessment *assessment)
{
    struct text html = TEXT_EMPTY;
    page_html(assessment, &(struct publishing){0}, &html);
    CHECK(span_bad_utf8((struct span){html.s, html.length}) == html.length);
    CHECK_TEXT(well_formed(html.s), "");
    return html;
}

/* Nothing that a browser would fetch or run. */
static void check_alone(const char *html)
{
    static const char *const never[] = {"<script", "<link", "<img", "<iframe", "src=", "@import", "url(", "javascript:", "onload", "onclick="};
    for (size_t k = 0; k < sizeof never / sizeof never[0]; k++)
        if (strstr(html, never[k]) != NULL)
            CHECK_TEXT(never[k], "");
    CHECK(count_of(html, "://") == count_of(html, "xmlns=\"http://www.w3.org/2000/svg\"")); /* a name, not a place */
    CHECK(strstr(html, "default-src 'none'") != NULL);
}

/* Every id once, and every reference to one that is there. */
static void check_ids(const char *html)
{
    for (const char *p = html; (p = strstr(p, " id=\"")) != NULL; p += 5) {
        char id[256];
        snprintf(id, sizeof id, "%.*s\"", (int)strcspn(p + 5, "\""), p + 5);
        char whole[300];
        snprintf(whole, sizeof whole, " id=\"%s", id);
        if (count_of(html, whole) != 1)
            CHECK_TEXT(whole, "stands once");
    }
    for (const char *p = html; (p = strstr(p, "href=\"#")) != NULL; p += 7) {
        char whole[300];
        snprintf(whole, sizeof whole, " id=\"%.*s\"", (int)strcspn(p + 7, "\""), p + 7);
        if (strstr(html, whole) == NULL)
            CHECK_TEXT(whole, "is there");
    }
}

TEST(the_page_of_the_demo_says_it_all)
{
    struct assessment demo = assessed_demo();
    struct text html = page_of(&demo);
    check_alone(html.s);
    check_ids(html.s);
    for (size_t k = 0; k < demo.decision_count; k++) {
        char anchor[200];
        snprintf(anchor, sizeof anchor, "<article id=\"%s\">", demo.decisions[k].claim->slug);
        CHECK(strstr(html.s, anchor) != NULL);
        CHECK(strstr(html.s, demo.decisions[k].claim->name) != NULL);
        CHECK(strstr(html.s, verdict_name(demo.decisions[k].verdict)) != NULL);
    }
    CHECK(strstr(html.s, "Invented data") != NULL);
    CHECK(strstr(html.s, "bought from stock") != NULL);
    CHECK(strstr(html.s, "header says voltage, unit V") != NULL);
    CHECK(strstr(html.s, "weigh again on a second scale") != NULL);
    CHECK(strstr(html.s, "rundown assess hut-pack.log.csv --label hut-pack.label --rig hut-pack.rig<") != NULL);
    for (int k = 0; cautions[k] != NULL; k++)
        CHECK(strstr(html.s, cautions[k]) != NULL || strpbrk(cautions[k], "'\"&<>") != NULL);
    text_free(&html);
    assessment_free(&demo);
}

TEST(the_page_follows_light_dark_paper_and_narrow_screens)
{
    struct assessment demo = assessed_demo();
    struct text html = page_of(&demo);
    CHECK(strstr(html.s, "prefers-color-scheme:dark") != NULL);
    CHECK(strstr(html.s, "@media print") != NULL);
    CHECK(strstr(html.s, "name=\"viewport\"") != NULL);
    CHECK(strstr(html.s, "<html lang=\"en-GB\">") != NULL);
    CHECK(count_of(html.s, "<div class=\"wide\">") == 2);
    CHECK(count_of(html.s, "<div class=\"narrow\">") == 2);
    CHECK(count_of(html.s, "<h1>") == 1);
    text_free(&html);
    assessment_free(&demo);
}

TEST(the_page_is_the_same_each_time)
{
    struct assessment demo = assessed_demo();
    struct text first = page_of(&demo), second = page_of(&demo);
    CHECK_TEXT(first.s, second.s);
    text_free(&first);
    text_free(&second);
    assessment_free(&demo);
}

TEST(readings_by_eye_stand_on_the_page_as_they_were_typed)
{
    struct assessment demo = assessed("demo/bivouac-pack.readings", "demo/bivouac-pack.label", NULL);
    struct text html = page_of(&demo);
    check_alone(html.s);
    CHECK(strstr(html.s, "13.29 V, 9.8 A, 130 W") != NULL);
    CHECK(strstr(html.s, "rested overnight") != NULL);
    text_free(&html);
    assessment_free(&demo);
}

TEST(names_from_outside_do_no_harm)
{
    for (size_t claims = 0; claims <= 60; claims += 12) {
        struct assessment hostile = made(claims);
        notices_add(&hostile.notices, "columns", 7, "%s", HOSTILE);
        struct text html = page_of(&hostile);
        check_alone(html.s);
        check_ids(html.s);
        text_free(&html);
        made_free(&hostile);
    }
}

TEST(an_assessment_of_nothing_is_a_page)
{
    struct assessment nothing = {.decide = 0.975};
    struct text html = page_of(&nothing);
    check_alone(html.s);
    text_free(&html);
}

TEST(a_record_without_a_discharge_is_headed_by_what_it_holds)
{
    static const char *const logs[][3] = {
        {"demo/hut-pack.charge.csv", "<h3>Charge, hut-pack.charge.csv</h3>", "id=\"the-charge\""},
        {"demo/hut-pack.cold.csv", "<h3>Charge stopped in the cold, hut-pack.cold.csv</h3>", "id=\"the-protections\""},
        {"demo/hut-pack.hot.csv", "<h3>Charge stopped in the heat, hut-pack.hot.csv</h3>", "id=\"the-protections\""},
    };
    for (size_t k = 0; k < sizeof logs / sizeof *logs; k++) {
        struct assessment one = assessed(logs[k][0], "demo/hut-pack.label", "demo/hut-pack.rig");
        struct text html = page_of(&one);
        check_ids(html.s);
        CHECK(strstr(html.s, logs[k][1]) != NULL && strstr(html.s, logs[k][2]) != NULL);
        CHECK(strstr(html.s, ">Discharge") == NULL && strstr(html.s, "the-capacity") == NULL);
        CHECK(strstr(html.s, "Not tested: what it delivers") != NULL);
        text_free(&html);
        assessment_free(&one);
    }
}

TEST(an_opinion_stands_beside_the_summary_and_is_called_one)
{
    struct assessment demo = assessed_demo();
    struct text before = page_of(&demo);
    CHECK(strstr(before.s, "opinion") == NULL);
    demo.opinion = memory_copy_string("Too dear <by half>.");
    struct text html = page_of(&demo);
    const char *summary = strstr(html.s, "class=\"lead\""), *opinion = strstr(html.s, "an opinion</h2>");
    CHECK(summary != NULL && opinion != NULL && summary < opinion);
    CHECK(strstr(html.s, "<blockquote>Too dear &lt;by half&gt;.</blockquote>") != NULL);
    text_free(&before);
    text_free(&html);
    assessment_free(&demo);
}

TEST(contradictions_stand_first_and_once)
{
    struct assessment demo = {0};
    struct message message = {0};
    const char *logs[] = {"demo/hut-pack.log.csv"};
    struct assess_request request = {.logs = logs, .log_count = 1, .label = "demo/hut-pack.label", .rig = "demo/hut-pack.rig",
                                     .opened = "demo/hut-pack.opened"};
    CHECK(assess(&request, &demo, &message) == STATUS_OK);
    CHECK(demo.contradiction_count > 0);
    struct text html = page_of(&demo);
    check_ids(html.s);
    const char *header = strstr(html.s, "<header>"), *nav = strstr(html.s, "<nav");
    struct text head = TEXT_EMPTY;
    text_add_bytes(&head, header, (size_t)(nav - header));
    for (size_t k = 0; k < demo.contradiction_count; k++)
        CHECK(count_of(head.s, demo.contradictions[k].words) == 1);
    CHECK(strstr(head.s, demo.contradictions[0].words) < strstr(head.s, "class=\"lead\""));
    CHECK(strstr(html.s, "<a href=\"#the-construction\">Construction</a>") != NULL);
    text_free(&head);
    text_free(&html);
    assessment_free(&demo);
}
