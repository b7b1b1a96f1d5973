#include "check.h"

#include "intake/ini.h"

static struct message message;

static enum status parse(const char *text, struct ini *ini)
{
    memset(&message, 0, sizeof message);
    return ini_read_text("label.ini", span_of(text), ini, &message);
}

TEST(keeps_order_duplicates_lines_and_columns)
{
    struct ini ini;
    CHECK(parse("\xEF\xBB\xBF# remark\r\n"
                "title = Hut 7\r\n"
                "[questions]\r\n"
                "  ask = weigh again ; soon\n"
                "ask: größe prüfen\n"
                "\n"
                "; another remark\n"
                "  Masse_ä  =  9,6 kg\n"
                "empty =",
                &ini) == STATUS_OK);
    CHECK(ini.count == 5);
    if (ini.count != 5)
        return;
    CHECK_TEXT(ini.entries[0].section, "");
    CHECK_TEXT(ini.entries[0].value, "Hut 7");
    CHECK(ini.entries[0].line == 2 && ini.entries[0].column == 9);
    CHECK_TEXT(ini.entries[1].value, "weigh again");
    CHECK(ini.entries[1].column == 9);
    CHECK_TEXT(ini.entries[2].value, "größe prüfen");
    CHECK(ini.entries[2].line == 5 && ini.entries[2].column == 6);
    CHECK(ini.entries[3].line == 8 && ini.entries[3].column == 15); /* characters, not bytes */
    CHECK_TEXT(ini.entries[4].value, "");
    const struct ini_entry *entry = ini_next(&ini, "Questions", "ASK", NULL);
    CHECK(entry == &ini.entries[1]);
    CHECK(ini_next(&ini, "questions", "ask", entry) == &ini.entries[2]);
    CHECK(ini_optional(&ini, "questions", "ask", &entry, &message) == STATUS_MALFORMED);
    CHECK(message.line == 5);
    ini_free(&ini);
    ini_free(&ini); /* twice is safe */
}

TEST(an_indented_line_is_no_continuation)
{
    struct ini ini;
    CHECK(parse("[current]\naccuracy = 1 %\n    resolution = 0.01 A\n", &ini) == STATUS_OK);
    CHECK(ini.count == 2 && strcmp(ini.entries[1].key, "resolution") == 0);
    ini_free(&ini);
}

TEST(faults_name_the_line)
{
    struct ini ini = {0};
    CHECK(parse("[current]\naccuracy 1 %\n", &ini) == STATUS_MALFORMED);
    CHECK(message.line == 2 && message.remedy[0] != '\0');
    CHECK(parse("a = 1\n[open\nb = 2\n", &ini) == STATUS_MALFORMED);
    CHECK(message.line == 2);
    CHECK(parse("= 3\n", &ini) == STATUS_MALFORMED);
    CHECK(message.line == 1);
    CHECK(parse(" \xEF\xBB\xBF[a]\nb = 1\n", &ini) == STATUS_MALFORMED); /* a mark that does not start the file */
    CHECK(message.line == 1);
    char longest[1400];
    memset(longest, 'x', sizeof longest);
    memcpy(longest, "a = 1\nb = ", 10);
    longest[sizeof longest - 1] = '\0';
    CHECK(parse(longest, &ini) == STATUS_MALFORMED);
    CHECK(message.line == 2);
    longest[10 + 980] = '\0'; /* long, and still whole */
    CHECK(parse(longest, &ini) == STATUS_OK);
    CHECK(ini.count == 2 && strlen(ini.entries[1].value) == 980);
    ini_free(&ini);
    CHECK(ini_read("/no/such/file", &ini, &message) == STATUS_UNREADABLE);
    CHECK(ini_read_text("label.ini", (struct span){"a = 1\0b\n", 8}, &ini, &message) == STATUS_MALFORMED);
    CHECK(parse("a = 1\nb = 20 \xB0" "C\n", &ini) == STATUS_MALFORMED); /* Latin-1 */
    CHECK(message.line == 2 && message.column == 8);
}

TEST(unknown_keys_and_sections_are_named_with_the_nearest)
{
    static const char *const keys[] = {"capacity", "mass", NULL}, *const sections[] = {"", "claims", NULL};
    struct ini ini;
    CHECK(parse("[claims]\ncapacity = 100 Ah\nmas = 9 kg\n[clams]\nx = 1\n", &ini) == STATUS_OK);
    CHECK(ini_known_keys(&ini, "claims", keys, &message) == STATUS_MALFORMED);
    CHECK(message.line == 3);
    CHECK_TEXT(message.remedy, "`mass` was meant, perhaps");
    CHECK(ini_known_sections(&ini, sections, &message) == STATUS_MALFORMED);
    CHECK(message.line == 5);
    CHECK_TEXT(message.remedy, "`claims` was meant, perhaps");
    const struct ini_entry *entry = &ini.entries[0];
    CHECK(ini_required(&ini, "claims", "colour", "write it", &entry, &message) == STATUS_MALFORMED);
    CHECK(entry == &ini.entries[0]); /* untouched */
    ini_free(&ini);
}

static double quantity(const char *value, enum quantity expected)
{
    struct ini ini;
    double result = NAN;
    char text[256];
    snprintf(text, sizeof text, "mass = %s\n", value);
    if (parse(text, &ini) != STATUS_OK)
        return NAN;
    double got;
    if (ini_quantity(&ini, &ini.entries[0], expected, &got, NULL, &message) == STATUS_OK)
        result = got;
    ini_free(&ini);
    return result;
}

TEST(a_line_before_the_first_section_is_told_so)
{
    static const char *const known[] = {"sample", "claims", NULL};
    struct ini ini;
    CHECK(parse("capacity = 100 Ah\n[claims]\nmass = 9 kg\n", &ini) == STATUS_OK);
    CHECK(ini_known_sections(&ini, known, &message) == STATUS_MALFORMED && message.line == 1);
    CHECK_TEXT(message.what, "`capacity` stands before the first section");
    CHECK(strstr(message.remedy, "square brackets: sample, claims") != NULL);
    ini_free(&ini);
}

TEST(quantities_and_yes_no)
{
    CHECK_NEAR(quantity("9,65 kg", QUANTITY_MASS), 9.65, 1e-12);
    CHECK_NEAR(quantity("1280 Wh", QUANTITY_ENERGY), 1280, 0);
    CHECK_NEAR(quantity("17", QUANTITY_NONE), 17, 0);
    CHECK(isnan(quantity("9.65 V", QUANTITY_MASS)));
    CHECK_TEXT(message.what, "`9.65 V` should be one mass");
    CHECK(message.status == STATUS_MALFORMED && message.line == 1);
    CHECK(isnan(quantity("9.65", QUANTITY_MASS)));
    CHECK(isnan(quantity("9.65 kg or so", QUANTITY_MASS)));
    CHECK(isnan(quantity("", QUANTITY_MASS)));
    CHECK(isnan(quantity("1,280 Wh", QUANTITY_ENERGY))); /* 1.28 or 1280? */
    CHECK(message.status == STATUS_AMBIGUOUS && message.column == 8);
    struct ini ini;
    bool yes = false;
    CHECK(parse("a = Yes\nb = nein\n", &ini) == STATUS_OK);
    CHECK(ini_yes(&ini, &ini.entries[0], &yes, &message) == STATUS_OK && yes);
    CHECK(ini_yes(&ini, &ini.entries[1], &yes, &message) == STATUS_MALFORMED && yes);
    ini_free(&ini);
}
