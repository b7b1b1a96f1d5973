#include "check.h"

#include "bench/limits.h"

static struct label label_of(const char *text)
{
    struct label label = label_empty();
    struct notices notices = {0};
    CHECK(label_read_text("label", span_of(text), &label, &notices, NULL) == STATUS_OK);
    notices_free(&notices);
    return label;
}

static struct limits set(const char *text)
{
    struct limits limits = limits_none();
    struct message message;
    CHECK(limits_set(span_of(text), "--limit", &limits, &message) == STATUS_OK);
    return limits;
}

static void refused(const char *text, const char *what)
{
    struct limits limits = limits_none(), before = limits;
    struct message message = {0};
    CHECK(limits_set(span_of(text), "--limit", &limits, &message) == STATUS_USAGE);
    CHECK(strstr(message.what, what) != NULL);
    CHECK(strstr(message.remedy, "low cell 2.5 V") != NULL);
    CHECK(memcmp(&limits, &before, sizeof limits) == 0);
}

TEST(text_form)
{
    CHECK_NEAR(set("low cell 2.53 V").of[LIMIT_LOW_CELL_V].at, 2.53, 1e-12);
    CHECK_NEAR(set("  LOW  cell 2530 mV ").of[LIMIT_LOW_CELL_V].at, 2.53, 1e-12);
    CHECK_NEAR(set("low 10.2 V").of[LIMIT_LOW_V].at, 10.2, 1e-12);
    CHECK_NEAR(set("low -7.5 °C").of[LIMIT_LOW_DEGC].at, -7.5, 1e-12);
    CHECK_NEAR(set("high 47 °C").of[LIMIT_HIGH_DEGC].at, 47, 1e-12);
    CHECK_NEAR(set("high 14.6 V").of[LIMIT_HIGH_V].at, 14.6, 1e-12);
    CHECK_NEAR(set("most 0.12 kA").of[LIMIT_MOST_A].at, 120, 1e-9);
    CHECK_NEAR(set("rise 3.5 °C/min").of[LIMIT_RISE].at, 3.5, 1e-12);
    CHECK_NEAR(set("rise 3.5 °C a minute").of[LIMIT_RISE].at, 3.5, 1e-12);
    CHECK_TEXT(set("most 97 A").of[LIMIT_MOST_A].source, "--limit");
}

TEST(one_alone_is_set)
{
    struct limits limits = set("high 47 °C");
    for (int k = 0; k < LIMITS; k++)
        CHECK((k == LIMIT_HIGH_DEGC) == !isnan(limits.of[k].at));
}

TEST(switched_off)
{
    struct label label = label_of("[claims]\ncapacity = 97 Ah | case\ncells = 4S | case\n[sample]\nchemistry = LiFePO4\n");
    struct limits limits = limits_usual(&label, false);
    struct message message;
    const struct {
        const char *text;
        enum limit_kind kind;
    } offs[] = {{"no low cell", LIMIT_LOW_CELL_V}, {"no high °C", LIMIT_HIGH_DEGC}, {"no low V", LIMIT_LOW_V},
                {"no rise", LIMIT_RISE}};
    for (size_t k = 0; k < sizeof offs / sizeof *offs; k++) {
        CHECK(!isnan(limits.of[offs[k].kind].at));
        CHECK(limits_set(span_of(offs[k].text), "--limit", &limits, &message) == STATUS_OK);
        CHECK(isnan(limits.of[offs[k].kind].at));
    }
    CHECK(!isnan(limits.of[LIMIT_HIGH_CELL_V].at));
    label_free(&label);
}

TEST(what_is_refused)
{
    refused("", "begins with no name");
    refused("lowest 10 V", "begins with no name");
    refused("low", "has no number");
    refused("low 10", "no unit");
    refused("low 10 parsec", "no unit");
    refused("low 10 A", "unit that does not go");
    refused("most 10 V", "unit that does not go");
    refused("low 10 V or so", "goes on");
    refused("rise 3 °C", "by the minute");
    refused("rise 3 °F/min", "in °C");
    refused("low cell -2.5 V", "above nothing");
    refused("no low", "which");
    refused("no high parsec", "goes on");
    refused("no", "begins with no name");
    refused("cell low 2.5 V", "begins with no name");
}

TEST(any_text_is_an_answer)
{
    char text[12];
    unsigned state = 20261125;
    for (int k = 0; k < 20000; k++) { /* characters that the form is made of, in any order */
        size_t n = 0;
        for (; n + 1 < sizeof text; n++) {
            state = state * 1664525 + 1013904223;
            text[n] = "low highmstrise cell no 10.5VA-+/e%"[(state >> 16) % 35];
        }
        text[n] = '\0';
        struct limits limits = limits_none();
        struct message message;
        if (limits_set(span_of(text), "--limit", &limits, &message) == STATUS_OK)
            for (int i = 0; i < LIMITS; i++)
                CHECK(isnan(limits.of[i].at) || isfinite(limits.of[i].at));
    }
}

/* 2.5 V and 3.65 V a cell: several general pages that agree, of low authority; the temperatures from memory. */
TEST(usual_ones)
{
    struct label label = label_of("[sample]\nchemistry = LiFePO4\n[claims]\ncapacity = 97 Ah | case\ncells = 8S | case\n"
                                  "continuous current = 90 A | case\n");
    struct limits discharge = limits_usual(&label, false), charge = limits_usual(&label, true);
    CHECK_NEAR(discharge.of[LIMIT_LOW_V].at, 20, 1e-9);
    CHECK_NEAR(discharge.of[LIMIT_LOW_CELL_V].at, 2.5, 1e-9);
    CHECK_NEAR(discharge.of[LIMIT_HIGH_CELL_V].at, 3.65, 1e-9);
    CHECK_NEAR(discharge.of[LIMIT_HIGH_DEGC].at, 60, 1e-9);
    CHECK_NEAR(discharge.of[LIMIT_MOST_A].at, 1.25 * 90, 1e-9);
    CHECK_NEAR(charge.of[LIMIT_LOW_DEGC].at, 0, 1e-9);
    CHECK_NEAR(charge.of[LIMIT_HIGH_DEGC].at, 45, 1e-9);
    CHECK(isnan(charge.of[LIMIT_MOST_A].at));
    label_free(&label);
    struct limits none = limits_usual(NULL, false);
    for (int k = 0; k < LIMITS; k++)
        CHECK(isnan(none.of[k].at));
}

TEST(the_label_comes_first)
{
    struct label label = label_of("[sample]\nchemistry = LiFePO4\n[claims]\ncapacity = 97 Ah | case\ncells = 4S | case\n"
                                  "cut-off voltage = 10.8 V | manual\npeak current = 210 A for 5 s | manual\n"
                                  "continuous current = 90 A | case\n");
    struct limits limits = limits_usual(&label, false);
    CHECK_NEAR(limits.of[LIMIT_LOW_V].at, 10.8, 1e-9);
    CHECK_NEAR(limits.of[LIMIT_MOST_A].at, 210, 1e-9);
    CHECK_TEXT(limits.of[LIMIT_LOW_V].source, "the label, line 6");
    struct text text = TEXT_EMPTY;
    limits_print(&limits, &text);
    CHECK(strstr(text_string(&text), "low 10.8 V (the label, line 6)\n") != NULL);
    text_free(&text);
    label_free(&label);
}
