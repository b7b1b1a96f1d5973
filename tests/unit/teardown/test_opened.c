#include "check.h"

#include "teardown/opened.h"

#include <stdio.h>
#include <string.h>

static const char whole[] =
    "\xEF\xBB\xBF# invented\r\n"
    "[opened]\n"
    "date = 2 March 2026\n"
    "invented = yes\n"
    "\n"
    "  [conductor main lead +]   \n"
    "Size = 4 x 10 AWG, copper\n"
    "length : 250 mm ; from lug to lug\n"
    "insulation = 200 °C, silicone\n"
    "opinion = neat, but thin = thinner than sold\n"
    "grade = Fair, strands nicked at one lug\n"
    "[Bus-Bar]\n"
    "size =\n"
    "[cells]\n"
    "count = 4\n"
    "code = ZZZCB99ABCDEFGB3C0000123\n"
    "# [fuse] is not there\n"
    "code = ZZZCB99ABCDEFGB3C0000124\n"
    "[conductor main_lead -]\n"
    "[conductor main-lead]\n";

static struct opened read_well(const char *text)
{
    struct opened opened = {0};
    struct message message = {0};
    CHECK(opened_read_text("hut.opened", span_of(text), &opened, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    return opened;
}

TEST(a_file_is_read_item_by_item)
{
    struct opened opened = read_well(whole);
    CHECK(opened.count == 5 && opened.invented);
    CHECK(opened.year == 2026 && opened.month == 3 && opened.day == 2);
    const struct opened_item *lead = &opened.items[0];
    CHECK(lead->kind == OPENED_CONDUCTOR && lead->grade == GRADE_FAIR && lead->entry_count == 3 && lead->line == 6);
    CHECK_TEXT(lead->name, "main lead +");
    CHECK_TEXT(lead->slug, "conductor-main-lead");
    CHECK_TEXT(lead->opinion, "neat, but thin = thinner than sold");
    CHECK_TEXT(lead->grade_why, "strands nicked at one lug");
    CHECK_TEXT(opened_value(lead, "length"), "250 mm");
    CHECK(lead->entries[2].line == 9 && lead->entries[2].column == 14);
    CHECK(opened_value(lead, "metal") == NULL);
    CHECK(opened.items[1].kind == OPENED_BUS_BAR && opened.items[1].entry_count == 0); /* not looked at yet */
    CHECK_TEXT(opened.items[1].slug, "bus-bar");
    CHECK(opened.items[2].entry_count == 3);
    CHECK_TEXT(opened.items[3].slug, "conductor-main-lead-2"); /* + and − leave the same letters */
    CHECK_TEXT(opened.items[4].slug, "conductor-main-lead-3");
    CHECK(opened_named(&opened, "cells") == &opened.items[2] && opened_named(&opened, "fuse") == NULL);
    opened_free(&opened);
    CHECK(opened.count == 0);
}

TEST(what_does_not_fit_is_told_with_its_place_and_remedy)
{
    static const struct {
        const char *text;
        long line;
        const char *what, *remedy;
    } bad[] = {
        {"size = 10 AWG\n", 1, "`size` stands before", "[conductor main lead]"},
        {"[conducter main lead]\n", 1, "does not begin with a kind", "`[conductor …]`"},
        {"[fuse]\n[widget]\n", 2, "does not begin with a kind", "conductor, bus bar"},
        {"[fuse]\nraiting = 80 A\n", 2, "`fuse` has no key `raiting`", "`rating` was meant"},
        {"[fuse]\nrating = 80 A\nRating = 90 A\n", 3, "stands twice, here and in line 2", "keep the one"},
        {"[fuse]\nopinion = a\nopinion = b\n", 3, "twice, here and in line 2", "keep the one"},
        {"[fuse]\n\n[Fuse]\n", 3, "`[Fuse]` stands twice", "another name, as in `[fuse 2]`"},
        {"[fuse]\ngrade = fairly good\n", 2, "no grade", "good, fair or poor"},
        {"[opened]\ndate = 03/04/2026\n", 2, "no date that reads one way", "2026-03-14"},
        {"[opened]\ndate = 2026-02-30\n", 2, "no date", "2026-03-14"},
        {"[opened]\n[opened]\n", 2, "stands twice", "the first"},
        {"[opened]\ninvented = maybe\n", 2, "yes or no", "yes"},
        {"[opened]\nplace = shed\n", 2, "no key `place`", "date"},
        {"[fuse\n", 1, "neither", "close a section"},
        {"[fuse]\nrating = 80 \xff\n", 2, "UTF-8", "UTF-8"},
    };
    for (size_t k = 0; k < sizeof bad / sizeof bad[0]; k++) {
        struct opened opened = {.count = 77};
        struct message message = {0};
        CHECK(opened_read_text("x.opened", span_of(bad[k].text), &opened, &message) == STATUS_MALFORMED);
        CHECK(opened.count == 77);
        CHECK_NEAR((double)message.line, (double)bad[k].line, 0);
        CHECK_TEXT(message.file, "x.opened");
        if (strstr(message.what, bad[k].what) == NULL)
            CHECK_TEXT(message.what, bad[k].what);
        if (strstr(message.remedy, bad[k].remedy) == NULL)
            CHECK_TEXT(message.remedy, bad[k].remedy);
    }
    struct message message;
    struct opened opened;
    CHECK(opened_read("no/such.opened", &opened, &message) == STATUS_UNREADABLE);
}

/* An example that a form shows is one that the form takes. */
TEST(every_example_of_a_key_can_be_read)
{
    for (int kind = 0; kind < OPENED_KINDS; kind++) {
        char text[4000];
        int n = snprintf(text, sizeof text, "[%s x]\n", opened_kind_words[kind]);
        size_t count = 0;
        for (const struct opened_key *key = opened_keys((enum opened_kind)kind); key->key != NULL; key++, count++) {
            CHECK(key->example[0] != '\0' && key->why[0] != '\0');
            n += snprintf(text + n, sizeof text - (size_t)n, "%s = %s\n", key->key, key->example);
        }
        struct opened opened = read_well(text);
        CHECK(opened.count == 1 && opened.items[0].entry_count == count);
        opened_free(&opened);
    }
}

static void put(const char *text, const char *slug, const char *section, const char *want)
{
    struct text result = TEXT_EMPTY;
    struct message message = {0};
    CHECK(opened_put(span_of(text), slug, span_of(section), &result, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    CHECK_TEXT(text_string(&result), want);
    text_free(&result);
}

TEST(an_item_is_put_and_every_other_byte_stays)
{
    static const char text[] = "# mine\n[fuse]\n rating = 80 A\n# of the board\n\n# the board\n[board]\nrating=100 A";
    put(text, "fuse", "[fuse]\nrating = none\n\n",
        "# mine\n[fuse]\nrating = none\n# of the board\n\n# the board\n[board]\nrating=100 A");
    put(text, "board", "[board small]", "# mine\n[fuse]\n rating = 80 A\n# of the board\n\n# the board\n[board small]\n");
    put(text, NULL, "[sensor]\nplace = lid",
        "# mine\n[fuse]\n rating = 80 A\n# of the board\n\n# the board\n[board]\nrating=100 A\n\n[sensor]\nplace = lid\n");
    put(text, "board", "", "# mine\n[fuse]\n rating = 80 A\n# of the board\n\n# the board\n");
    put("[fuse]\n\n\n[board]\n", "fuse", " \n", "[board]\n");
    put("", NULL, "[fuse]", "[fuse]\n");
    put("[fuse]\r\n[board]\r\nrating = 100 A\r\n", "fuse", "[fuse]\nrating = 80 A",
        "[fuse]\r\nrating = 80 A\r\n[board]\r\nrating = 100 A\r\n");
}

TEST(what_cannot_be_put_leaves_the_text_alone)
{
    static const struct {
        const char *slug, *section, *what;
    } bad[] = {
        {"board", "[board]", "no item `board`"},    {NULL, "", "not one item"},
        {NULL, "rating = 80 A", "not one item"},    {NULL, "[board]\n[sensor]", "not one item"},
        {NULL, "[opened]", "not one item"},         {NULL, "[fuse]\nrating = 1 A", "stands twice"},
        {"fuse", "[fuse]\nratin = 1 A", "no key"},  {NULL, "[board]\nnothing", "neither"},
        {NULL, "# remark\n[board]", "not one item"},
    };
    for (size_t k = 0; k < sizeof bad / sizeof bad[0]; k++) {
        struct text result = TEXT_EMPTY;
        struct message message = {0};
        CHECK(opened_put(span_of("[fuse]\n"), bad[k].slug, span_of(bad[k].section), &result, &message) != STATUS_OK);
        CHECK(result.s == NULL);
        if (strstr(message.what, bad[k].what) == NULL)
            CHECK_TEXT(message.what, bad[k].what);
    }
}
