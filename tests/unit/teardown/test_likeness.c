#include "inspected.h"

#include "teardown/likeness.h"
#include "teardown/same_value.h"

TEST(values_are_compared_by_what_they_mean)
{
    static const struct {
        enum opened_kind kind;
        const char *key, *first, *second;
        bool same;
    } rows[] = {
        {OPENED_CONDUCTOR, "size", "10 AWG", "5.26 mm²", true},
        {OPENED_CONDUCTOR, "size", "10 AWG", "6 mm²", false}, /* 14 % apart */
        {OPENED_CONDUCTOR, "size", "4 x 10 AWG", "4 × 5.3 mm2, copper", true},
        {OPENED_CONDUCTOR, "size", "4 x 10 AWG", "10 AWG", false},
        {OPENED_CONDUCTOR, "size", "10 AWG, copper", "10 AWG, aluminium", false},
        {OPENED_BUS_BAR, "size", "20 x 2 mm", "2 mm x 20 mm", true},
        {OPENED_BUS_BAR, "size", "20 x 2 mm", "40 mm²", false}, /* a bar is no round wire */
        {OPENED_CONDUCTOR, "length", "250 mm", "0.25 m", true},
        {OPENED_CONDUCTOR, "length", "25 cm", "246 mm", true},
        {OPENED_CONDUCTOR, "length", "250 mm", "230 mm", false},
        {OPENED_CONDUCTOR, "insulation", "200 °C, silicone", "392 °F", true}, /* 200 °C */
        {OPENED_CONDUCTOR, "insulation", "200 °C, silicone", "200 °C, PTFE", false},
        {OPENED_CONDUCTOR, "metal", "Cu", "copper", true},
        {OPENED_CONDUCTOR, "from", "cell, bolted lug, 35 °C", "Cell, lug", true},
        {OPENED_BOARD, "rating", "100 A", "0.1 kA", true},
        {OPENED_BOARD, "rating", "100 A", "80 A", false},
        {OPENED_BOARD, "balancing", "60 mA", "~0.06 A", true},
        {OPENED_BOARD, "heat sink", "yes, aluminium plate", "yes", true},
        {OPENED_BOARD, "heat sink", "yes", "no", false},
        {OPENED_BOARD, "printed", "HX-4S-100 ", "hx 4s100", true},
        {OPENED_BOARD, "printed", "HX-4S-100", "HX-4S-80", false},
        {OPENED_CASE, "size", "329 x 172 x 214 mm", "32.9 x 17.2 x 21.5 cm", true},
        {OPENED_CASE, "size", "329 x 172 x 214 mm", "329 x 172 x 220 mm", false},
        {OPENED_CASE, "mass", "11.24 kg", "11.2 kg", true},
        {OPENED_CASE, "mass", "11.24 kg", "24.8 lb", true}, /* 11.249 kg */
        {OPENED_CASE, "mass", "11.24 kg", "10.9 kg", false},
        {OPENED_CELLS, "arrangement", "4S1P", "4s 1p", true},
        {OPENED_CELLS, "arrangement", "4S2P", "2P4S", true},
        {OPENED_CELLS, "arrangement", "4S2P", "2S4P", false},
        {OPENED_VENT, "type", "Membrane", "membrane, round", true},
    };
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        bool one = same_value(rows[k].kind, rows[k].key, rows[k].first, rows[k].second);
        bool other = same_value(rows[k].kind, rows[k].key, rows[k].second, rows[k].first);
        if (one != rows[k].same || other != rows[k].same)
            CHECK_TEXT(rows[k].first, rows[k].second);
    }
}

static struct opened of(const char *text)
{
    struct opened opened = {0};
    struct message message = {0};
    CHECK(opened_read_text("x.opened", span_of(text), &opened, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    return opened;
}

static const struct likeness_row *row_of(const struct likeness *l, const char *what, const char *first)
{
    for (size_t k = 0; k < l->count; k++)
        if (strcmp(l->rows[k].what, what) == 0 && strcmp(l->rows[k].first, first) == 0)
            return &l->rows[k];
    CHECK_TEXT("(no such row)", what);
    return &l->rows[0];
}

TEST(two_samples_are_held_beside_each_other)
{
    struct opened a = of("[board]\nrating = 100 A\nprinted = HX-4S-100\nprinted = rev B\nnote = dusty\n"
                         "[conductor red]\npath = +\nsize = 4 x 10 AWG\nlength = 250 mm\n[conductor black]\npath = -\nsize = 8 AWG\n"
                         "[cells]\ncount = 4\ncode = ZZZCB99HUT0001E7B0000412\ncode = ZZZCB99HUT0001E7C0000413\ncode = odd\n"
                         "[vent]\ntype = hole\n");
    struct opened b = of("[cells]\ncount = 4\nrated = 100 Ah\ncode = ZZZCB99HUT0001E7C0000413\n[board hidden]\nrating = 80 A\n"
                         "printed = hx 4s 100\nprinted = 2025\n[conductor -]\npath = -, lower\nsize = 8.37 mm²\n"
                         "[conductor +]\npath = +\nsize = 4 x 5.26 mm²\n[sensor]\n");
    struct likeness l;
    likeness_find(&a, &b, &l);
    CHECK(row_of(&l, "board: rating", "100 A")->alike == ALIKE_DIFFERS);
    CHECK(row_of(&l, "board: printed", "HX-4S-100")->alike == ALIKE_AGREES);
    CHECK(row_of(&l, "board: printed", "rev B")->alike == ALIKE_ONE_ONLY);
    CHECK_TEXT(row_of(&l, "board: printed", "")->second, "2025");
    CHECK_TEXT(row_of(&l, "conductor red: size", "4 x 10 AWG")->second, "4 x 5.26 mm²");
    CHECK(row_of(&l, "conductor red: size", "4 x 10 AWG")->alike == ALIKE_AGREES);
    CHECK(row_of(&l, "conductor black: size", "8 AWG")->alike == ALIKE_AGREES);
    CHECK(row_of(&l, "conductor red: length", "250 mm")->alike == ALIKE_ONE_ONLY);
    CHECK(row_of(&l, "cells: maker of the codes", "ZZZ")->alike == ALIKE_AGREES);
    CHECK(row_of(&l, "cells: year and month of the codes", "2024-07")->alike == ALIKE_AGREES);
    CHECK(row_of(&l, "cells: the same code in both", "ZZZCB99HUT0001E7C0000413")->alike == ALIKE_AGREES);
    CHECK(row_of(&l, "vent", "hole")->alike == ALIKE_ONE_ONLY);
    CHECK_TEXT(row_of(&l, "sensor", "")->second, "seen");
    CHECK(l.agree + l.differ + l.one_only == l.count);
    for (size_t k = 0; k < l.count; k++)
        CHECK(strstr(l.rows[k].what, "note") == NULL && alike_name(l.rows[k].alike)[0] != '\0');
    likeness_free(&l);
    CHECK(l.count == 0);
    opened_free(&a);
    opened_free(&b);
}

TEST(nothing_beside_nothing_has_no_rows)
{
    struct opened none = {0}, one = of("[fuse]\nrating = none\n[fuse b]\nrating = 10 A\n");
    struct likeness l;
    likeness_find(&none, &none, &l);
    CHECK(l.count == 0);
    likeness_find(&none, &one, &l);
    CHECK(l.count == 2 && l.one_only == 2 && l.rows[0].first[0] == '\0');
    likeness_free(&l);
    likeness_find(&one, &one, &l);
    CHECK(l.agree == 2 && l.count == 2);
    likeness_free(&l);
    opened_free(&one);
}
