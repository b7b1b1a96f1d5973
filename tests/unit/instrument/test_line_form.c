#include "check.h"

#include "instrument/line_form.h"
#include "intake/rig_links.h"

static struct message message;
static struct links links;
static struct line_form *form;

/* A form out of a rig file's lines. */
static enum status make(const char *lines)
{
    char text[1024];
    line_form_free(form);
    form = NULL;
    links_free(&links);
    memset(&message, 0, sizeof message);
    snprintf(text, sizeof text, "[m]\ndriver = lines\naddress = stdin\n%s", lines);
    if (rig_links_read_text("hut.rig", span_of(text), &links, &message) != STATUS_OK)
        return STATUS_USAGE;
    return line_form_new(&links.items[0], &form, &message);
}

/* The cells of a line joined by blanks, then `@` and its time; or what is wrong. */
static const char *said(const char *line)
{
    static char text[200];
    struct arrival arrival;
    char digits[DECIMAL_TEXT];
    size_t n = 0;
    if (!line_form_read(form, span_of(line), &arrival, &message))
        return message.what;
    for (int k = 0; k < links.items[0].channel_count; k++) {
        decimal_print(arrival.cells[k], digits);
        n += (size_t)snprintf(text + n, sizeof text - n, "%s%s", k > 0 ? " " : "",
                              arrival.cells[k].kind == DECIMAL_MISSING ? "." : digits);
    }
    if (links.items[0].own_time) {
        decimal_print(arrival.time, digits);
        snprintf(text + n, sizeof text - n, "@%s", digits);
    }
    return text;
}

static const char fields[] = "voltage from = field 2\ncurrent from = field 3 in mA\ntime from = field 1\n";

TEST(fields_by_a_found_separator)
{
    static const struct {
        const char *line, *want;
    } lines[] = {
        {"0.5\t12.90\t-3050", "12.90 -3050@0.5"},
        {"0.5;12.90;-3050;x", "12.90 -3050@0.5"},
        {"0.5|12.90|-3050", "12.90 -3050@0.5"},
        {"0.5,12.90,-3050", "12.90 -3050@0.5"},
        {"  0.5  12.90   -3050", "12.90 -3050@0.5"},
        {"0:00:02.5, 12.90 V, -3050 mA", "12.90 -3050@2.5"},
        {"0.5,OL,", "OL .@0.5"},
    };
    CHECK(make(fields) == STATUS_OK);
    for (size_t k = 0; k < sizeof lines / sizeof *lines; k++) {
        line_form_forget(form);
        CHECK_TEXT(said(lines[k].line), lines[k].want);
    }
}

TEST(a_separator_that_was_found_stands)
{
    CHECK(make(fields) == STATUS_OK);
    CHECK_TEXT(said("0.5;12.90;-3050"), "12.90 -3050@0.5");
    CHECK_TEXT(said("0.5,12.90,-3050"), "no reading: `0.5,12.90,-3050`: 1 fields where 3 are needed");
}

TEST(decimal_commas_are_not_guessed)
{
    CHECK(make("voltage from = field 1\ncurrent from = field 2\n") == STATUS_OK);
    CHECK(strstr(said("12,90"), "may be decimal commas") != NULL);
    CHECK(strstr(said("12,90,3,05"), "may be decimal commas") != NULL);
    CHECK(make("voltage from = field 1\ncurrent from = field 2\ndecimal = comma\n") == STATUS_OK);
    CHECK_TEXT(said("12,90;3,05"), "12.90 3.05");
    CHECK(make("voltage from = field 1\ncurrent from = field 2\nseparator = comma\n") == STATUS_OK);
    CHECK_TEXT(said("1290,305"), "1290 305");
}

TEST(one_bad_field_spoils_the_line)
{
    CHECK(make(fields) == STATUS_OK);
    CHECK_TEXT(said("0.5;12.90;-3050"), "12.90 -3050@0.5");
    CHECK(strstr(said("0.5;12.90"), "2 fields where 3 are needed") != NULL);
    CHECK(strstr(said("0.5;12.9o;-3050"), "`12.9o` is no number") != NULL);
    CHECK(strstr(said("0.5;12.90;-3050 A"), "is no number in mA") != NULL);
    CHECK(strstr(said("0.5;;"), "no value is in it") != NULL);
    CHECK(strstr(said(""), "fields where") != NULL);
}

TEST(names_with_values)
{
    CHECK(make("voltage from = key V\ncurrent from = key I\ntime from = key t\n") == STATUS_OK);
    CHECK_TEXT(said("t=0.5 V=12.90 I=-3.05"), "12.90 -3.05@0.5");
    CHECK_TEXT(said("V: 12.90 V, I: -3.05 A, t: 0:00:07"), "12.90 -3.05@7");
    CHECK_TEXT(said("t:0:12:34 V:12.90 I:3"), "12.90 3@754");
    CHECK_TEXT(said("i = -3.05;v = 12.90 V"), "12.90 -3.05@");
    CHECK_TEXT(said("I=2.10"), ". 2.10@");
    CHECK(strstr(said("IV=2.1, VI=3"), "none of the keys") != NULL);
    CHECK(strstr(said("V=12900 mV I=3"), "is no number in V") != NULL);
    CHECK(strstr(said("V=,I="), "no value is in it") != NULL);
}

TEST(json_objects)
{
    CHECK(make("voltage from = key pack.v\ncell 2 voltage from = key cells.2 in mV\n") == STATUS_OK);
    CHECK_TEXT(said("{\"pack\":{\"v\":13.2710},\"cells\":[3301,3302]}"), "13.2710 3302");
    CHECK_TEXT(said("{\"cells\":[3301,3302]}"), ". 3302");
    CHECK(strstr(said("{\"pack\":{\"v\":13.2710},\"cells\":[33"), "this is no JSON") != NULL);
    CHECK(strstr(said("{\"pack\":{\"v\":true}}"), "is no number") != NULL);
}

TEST(groups_of_a_pattern)
{
    CHECK(make("pattern = ^#[0-9]+ U=([0-9.]+)V( I=([-0-9.]+)A)?$\nvoltage from = group 1\n"
               "current from = group 3\n") == STATUS_OK);
    CHECK_TEXT(said("#12 U=12.90V I=-3.05A"), "12.90 -3.05");
    CHECK_TEXT(said("#12 U=12.90V"), "12.90 .");
    CHECK(strstr(said("#12 U=12.90V I=-3.0"), "does not fit") != NULL);
}

TEST(what_cannot_be_read_is_refused_with_its_place)
{
    static const struct {
        const char *lines;
        long line;
        const char *what;
    } refused[] = {
        {"", 2, "says not what its lines hold"},
        {"voltage from = 2\n", 4, "says not where in a line"},
        {"voltage from = field\n", 4, "says not where in a line"},
        {"voltage from = field 0\n", 4, "says not where in a line"},
        {"voltage from = field 2.5\n", 4, "says not where in a line"},
        {"voltage from = field 2\ncurrent from = key I\n", 5, "stands beside"},
        {"voltage from = group 1\n", 4, "needs a pattern"},
        {"voltage from = group 2\npattern = ([0-9]+)\n", 5, "has 1 groups"},
        {"voltage from = group 1\npattern = ([0-9+\n", 5, "cannot be read"},
        {"voltage from = field 1\npattern = (x)\n", 5, "groups"},
        {"voltage from = field 1\nseparator = dot\n", 5, "is no separator"},
        {"voltage from = field 1\ndecimal = ;\n", 5, "is no decimal"},
    };
    for (size_t k = 0; k < sizeof refused / sizeof *refused; k++) {
        CHECK(make(refused[k].lines) == STATUS_MALFORMED);
        CHECK(message.line == refused[k].line);
        if (strstr(message.what, refused[k].what) == NULL)
            CHECK_TEXT(message.what, refused[k].what);
        CHECK(message.remedy[0] != '\0');
    }
    make(fields);
    line_form_free(form);
    links_free(&links);
}
