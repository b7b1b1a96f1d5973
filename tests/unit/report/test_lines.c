#include "made.h"

#include "report/lines.h"

TEST(wraps_at_blanks_with_a_hanging_indent)
{
    struct text text = TEXT_EMPTY;
    text_add(&text, "  • ");
    lines_wrap("one two three  four", 4, 12, &text);
    CHECK_TEXT(text_string(&text), "  • one two\n    three\n    four\n");
    text_free(&text);
}

TEST(counts_characters_and_never_cuts_a_word)
{
    struct text text = TEXT_EMPTY;
    lines_wrap("äöü ΩΩΩ immeasurable", 0, 7, &text);
    CHECK_TEXT(text_string(&text), "äöü ΩΩΩ\nimmeasurable\n");
    text_free(&text);
    lines_wrap("", 3, 20, &text);
    CHECK_TEXT(text_string(&text), "\n");
    text_free(&text);
}

TEST(rows_and_listings)
{
    struct text text = TEXT_EMPTY;
    lines_row("load", "kept its power", 24, &text);
    CHECK_TEXT(text_string(&text), "  load        kept its\n              power\n");
    text_free(&text);
    struct listing rows = listing_of(3);
    static const char *const cells[] = {"91.6 %", "0.24 Ah", "gain of \001the\004 meter", "8 %", "0.071 Ah", "offset", "together"};
    for (size_t k = 0; k < sizeof cells / sizeof *cells; k++)
        listing_add(&rows, "%s", cells[k]);
    lines_listing(&rows, 34, &text);
    CHECK_TEXT(text_string(&text), "  91.6 %    0.24 Ah   gain of the\n                      meter\n"
                                   "  8 %       0.071 Ah  offset\n  together            \n");
    listing_free(&rows);
    text_free(&text);
}

TEST(claims_keep_what_was_found_and_cut_what_was_stated)
{
    struct claim_columns columns = {0};
    struct text text = TEXT_EMPTY;
    lines_make_room("Capacity", "100 Ah at 0.2 It, 25 °C, to 10 V", "103.44 ± 0.44 Ah", &columns);
    lines_make_room("Mass", "10.9 kg", "11.24 kg", &columns);
    lines_fit(60, &columns);
    CHECK(columns.stated == 19); /* 60 less margin, name, found, tail and three gaps */
    lines_claim("Capacity", "100 Ah at 0.2 It, 25 °C, to 10 V", "103.44 ± 0.44 Ah", "p > 0.999", &columns, &text);
    lines_claim("Mass", "10.9 kg", "11.24 kg", "", &columns, &text);
    CHECK_TEXT(text_string(&text), "  Capacity  100 Ah at 0.2 It, …  103.44 ± 0.44 Ah  p > 0.999\n"
                                   "  Mass      10.9 kg              11.24 kg\n");
    CHECK(longest_line(text_string(&text)) == 60);
    text_free(&text);
}
