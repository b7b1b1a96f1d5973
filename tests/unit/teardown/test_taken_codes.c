#include "check.h"

#include "teardown/taken_codes.h"

#include <stdint.h>

static struct message message;

static struct cell_code code(const char *typed)
{
    return cell_code_read(span_of(typed));
}

static size_t put(const char *opened, const char *slug, const struct cell_code *codes, size_t count, struct text *text)
{
    size_t added = SIZE_MAX;
    text_free(text);
    CHECK(taken_codes_put(span_of(opened), slug, true, "picture 3, cells\n.jpg", codes, count, text, &added, &message) == STATUS_OK);
    return added;
}

TEST(codes_go_behind_those_that_stand_there_and_none_twice)
{
    static const char before[] = "[opened]\ndate = 2026-03-02\n\n[cells]\ncount = 4\ncode = ZZZCB99ABCDEFGB3C0000123\n"
                                 "# the third is scratched\n\n[case]\nmass = 11.2 kg\n";
    struct cell_code found[] = {code("zzzcb99-abcdefg b3c0000123"), code("ZZZCB99ABCDEFGB3C0000124"),
                                code("ZZZCB99ABCDEFGB3C0000124"), code("ZZZCB99ABCDEFGB3D0000007")};
    struct text text = TEXT_EMPTY;
    CHECK(put(before, "", found, 4, &text) == 2);
    CHECK_TEXT(text_string(&text), "[opened]\ndate = 2026-03-02\n\n[cells]\ncount = 4\ncode = ZZZCB99ABCDEFGB3C0000123\n"
                                   "# read off picture 3, cells .jpg\ncode = ZZZCB99ABCDEFGB3C0000124\n"
                                   "code = ZZZCB99ABCDEFGB3D0000007\n# the third is scratched\n\n[case]\nmass = 11.2 kg\n");
    struct text again = TEXT_EMPTY;
    CHECK(put(text_string(&text), "", found, 4, &again) == 0);
    CHECK_TEXT(text_string(&again), text_string(&text));
    text_free(&again);
    text_free(&text);
}

TEST(a_file_without_cells_gets_them)
{
    struct cell_code found[] = {code("ZZZCB99ABCDEFGB3C0000124")};
    struct opened opened;
    struct text text = TEXT_EMPTY;
    CHECK(put("", "", found, 1, &text) == 1);
    CHECK(opened_read_text("made", (struct span){text.s, text.length}, &opened, &message) == STATUS_OK);
    CHECK(opened.invented && opened.count == 1 && opened.items[0].kind == OPENED_CELLS);
    opened_free(&opened);
    CHECK(put("[opened]\n[cells upper row]\ncount = 2\n[cells lower row]\ncount = 2", "cells-lower-row", found, 1, &text) == 1);
    CHECK(strstr(text_string(&text), "[cells lower row]\ncount = 2\n# read off picture 3, cells .jpg\ncode = ") != NULL);
    CHECK(put("[opened]\n[vent]\n[cells upper row]\ncount = 2\n", "vent", found, 1, &text) == 1);
    CHECK(strstr(text_string(&text), "[cells upper row]\ncount = 2\n# read off picture 3, cells .jpg\ncode = ") != NULL);
    text_free(&text);
}

TEST(a_file_at_fault_stays_as_it_is)
{
    struct cell_code found[] = {code("ZZZCB99ABCDEFGB3C0000124")};
    struct text text = TEXT_EMPTY;
    size_t added = 7;
    CHECK(taken_codes_put(span_of("[opened]\n[cells]\ncounts = 4\n"), "", false, "x.jpg", found, 1, &text, &added, &message) ==
          STATUS_MALFORMED);
    CHECK(added == 7 && text.length == 0);
    text_free(&text);
}
