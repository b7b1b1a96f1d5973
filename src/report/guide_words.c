#include "report/guide_words.h"

#include "report/json_parts.h"
#include "report/lines.h"

static void say_numbers(const struct guide *guide, int width, struct text *text)
{
    struct listing rows = listing_of(3);
    for (size_t k = 0; k < guide->number_count; k++) {
        listing_add(&rows, "%s", guide->numbers[k].what);
        listing_add(&rows, "%s", guide->numbers[k].words);
        listing_add(&rows, "%s", guide->numbers[k].from);
    }
    text_add(text, "\nNumbers of this sample\n");
    lines_listing(&rows, width, text);
    listing_free(&rows);
}

static void say_line(const struct guide_line *line, int number, int width, struct text *text)
{
    char lead[16] = "  • ";
    if (line->part == GUIDE_STEPS)
        snprintf(lead, sizeof lead, " %2d. ", number);
    text_add(text, lead);
    lines_wrap(line->words, (int)text_width(lead), width, text);
    if (line->mark[0] != '\0')
        text_addf(text, "%*smark: %s\n", (int)text_width(lead), "", line->mark);
}

void guide_words(const struct guide *guide, int width, struct text *text)
{
    int number = 0;
    text_addf(text, "%s%s%s\n", guide_title(guide->test), guide->sample[0] != '\0' ? ": " : "", guide->sample);
    text_addf(text, "Recorded as a run of the kind `%s`.%s\n", guide_kind(guide->test), guide->invented ? " INVENTED DATA." : "");
    say_numbers(guide, width, text);
    for (size_t k = 0; k < guide->count; k++) {
        const struct guide_line *line = &guide->lines[k];
        if (k == 0 || guide->lines[k - 1].part != line->part) {
            text_addf(text, "\n%s\n", guide_part_heading(line->part));
            number = 0;
        }
        say_line(line, ++number, width, text);
    }
}

static json_t *line_json(const struct guide_line *line)
{
    json_t *o = json_object();
    json_put_words(o, "words", line->words);
    json_put_words(o, "mark", line->mark);
    return o;
}

static json_t *number_json(const struct guide_number *number)
{
    json_t *o = json_object();
    json_put_words(o, "what", number->what);
    json_put_words(o, "words", number->words);
    json_put_words(o, "from", number->from);
    return o;
}

static void put_test(json_t *o, enum guide_test test)
{
    json_put_words(o, "test", guide_name(test));
    json_put_words(o, "title", guide_title(test));
    json_put_words(o, "kind", guide_kind(test));
}

json_t *guide_json(const struct guide *guide)
{
    json_t *o = json_object(), *numbers = json_array(), *parts = json_array(), *lines = NULL;
    json_head(o);
    put_test(o, guide->test);
    json_put_words(o, "sample", guide->sample);
    json_put(o, "invented", json_boolean(guide->invented));
    for (size_t k = 0; k < guide->number_count; k++)
        json_array_append_new(numbers, number_json(&guide->numbers[k]));
    for (size_t k = 0; k < guide->count; k++) {
        const struct guide_line *line = &guide->lines[k];
        if (k == 0 || guide->lines[k - 1].part != line->part) {
            json_t *part = json_object();
            json_put_words(part, "part", guide_part_name(line->part));
            json_put_words(part, "heading", guide_part_heading(line->part));
            lines = json_array();
            json_put(part, "lines", lines);
            json_array_append_new(parts, part);
        }
        json_array_append_new(lines, line_json(line));
    }
    json_put(o, "numbers", numbers);
    json_put(o, "parts", parts);
    return o;
}

void guides_words(const struct label *label, int width, struct text *text)
{
    struct listing rows = listing_of(3);
    for (int test = 0; test < GUIDE_TESTS; test++) {
        struct text claims = TEXT_EMPTY;
        for (size_t c = 0; c < label->claim_count; c++)
            if (guide_of_claim(&label->claims[c]) == (enum guide_test)test)
                text_addf(&claims, "%s%s", claims.length > 0 ? "; " : "", label->claims[c].name);
        listing_add(&rows, "%s", guide_name((enum guide_test)test));
        listing_add(&rows, "%s", guide_title((enum guide_test)test));
        listing_add(&rows, "%s", text_string(&claims));
        text_free(&claims);
    }
    lines_listing(&rows, width, text);
    listing_free(&rows);
    text_add(text, "\n");
    lines_wrap(guide_no_short, 0, width, text);
}

json_t *guides_json(const struct label *label)
{
    json_t *o = json_object(), *tests = json_array();
    json_head(o);
    json_put_words(o, "sample", label->sample);
    for (int test = 0; test < GUIDE_TESTS; test++) {
        json_t *one = json_object(), *claims = json_array(), *names = json_array();
        put_test(one, (enum guide_test)test);
        for (size_t c = 0; c < label->claim_count; c++)
            if (guide_of_claim(&label->claims[c]) == (enum guide_test)test) {
                json_array_append_new(claims, json_words(label->claims[c].slug));
                json_array_append_new(names, json_words(label->claims[c].name));
            }
        json_put(one, "claims", claims);
        json_put(one, "names", names);
        json_array_append_new(tests, one);
    }
    json_put(o, "guides", tests);
    json_put_words(o, "no_short_circuit", guide_no_short);
    return o;
}
