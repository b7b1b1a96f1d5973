#include "intake/cells.h"
#include "check.h"

static size_t cut(const char *line, char delimiter, struct span *cells)
{
    return cells_split(span_of(line), delimiter, cells, 16);
}

/* RFC 4180, section 2: `"aaa","b""bb","ccc"`. */
TEST(rfc_4180)
{
    struct span cells[16];
    char text[32];
    CHECK(cut("\"aaa\",\"b\"\"bb\",\"ccc\"", ',', cells) == 3);
    cell_copy(cells[1], text, sizeof text);
    CHECK_TEXT(text, "b\"bb");
    CHECK(cut("\"a,b\",\"c\nd\"", ',', cells) == 2);
    CHECK(span_is(cells[0], "a,b") && span_is(cells[1], "c\nd"));
    CHECK(cut("\"open,1,2", ',', cells) == 0);
    CHECK(cut("\"12\"34,5", ',', cells) == 0); /* not silently 12 */
    CHECK(cut("5\" pipe,2", ',', cells) == 2); /* a quote inside a cell is a character */
}

TEST(delimiters)
{
    struct span cells[16];
    CHECK(cut("1;2,5;3\r", ';', cells) == 3 && span_is(cells[1], "2,5") && span_is(cells[2], "3"));
    CHECK(cut("\t1\t\t2\t", '\t', cells) == 5 && cells[0].n == 0 && cells[2].n == 0 && cells[4].n == 0);
    CHECK(cut("  1.5   2.5\t3.5  ", ' ', cells) == 3 && span_is(cells[2], "3.5"));
    CHECK(cut("1 | 2|3", '|', cells) == 3 && span_is(cells[0], "1"));
    CHECK(cut("", ',', cells) == 1 && cells[0].n == 0);
    CHECK(cut(",", ',', cells) == 2);
}

TEST(more_cells_than_room)
{
    struct span cells[2];
    CHECK(cells_split(span_of("1,2,3,4"), ',', cells, 2) == 4);
}

TEST(missing_cells)
{
    /* SCPI-99 section 7.2.1: 9.9E37 is infinity, 9.91E37 not a number; 3.4E+38 is the largest float. */
    static const char *const words[] = {
        "",       "-",        "--",      "---",          "nan",  "NaN",      "N/A",  "#N/A",
        "NULL",   "OL",       "-OL",     "O.L",          "OVLD", "Overload", "inf",  "-Infinity",
        "9.9E37", "-9.9E+37", "9.91E37", "3.400000E+38", "1e31", "#DIV/0!",  "OL V",
    };
    for (size_t k = 0; k < sizeof words / sizeof *words; k++) {
        double value = 7;
        struct unit unit;
        if (cell_read(span_of(words[k]), '.', &value, &unit) != CELL_MISSING) {
            printf("    '%s' is not missing\n", words[k]);
            CHECK(false);
        }
        CHECK_NEAR(value, 7, 0);
    }
}

TEST(numbers)
{
    double value;
    struct unit unit;
    CHECK(cell_read(span_of("-12.91"), '.', &value, &unit) == CELL_NUMBER && value == -12.91);
    CHECK(cell_read(span_of("+1.5e-3"), '.', &value, &unit) == CELL_NUMBER && value == 1.5e-3);
    CHECK(cell_read(span_of("\xE2\x88\x92"
                            "5.25"),
                    '.', &value, &unit) == CELL_NUMBER &&
          value == -5.25);
    CHECK(cell_read(span_of("12.91 V"), '.', &value, &unit) == CELL_NUMBER &&
          unit.quantity == QUANTITY_VOLTAGE);
    CHECK(cell_read(span_of("250mA"), '.', &value, &unit) == CELL_NUMBER && unit.factor == 1e-3);
    CHECK(cell_read(span_of("12,91"), ',', &value, &unit) == CELL_NUMBER && value == 12.91);
    CHECK(cell_read(span_of("1.234"), ',', &value, &unit) ==
          CELL_WORDS); /* thousands, perhaps: not guessed */
    CHECK(cell_read(span_of("1,234"), '.', &value, &unit) == CELL_WORDS);
    CHECK(cell_read(span_of("1.2.3"), '.', &value, &unit) == CELL_WORDS);
    CHECK(cell_read(span_of("0x1F"), '.', &value, &unit) == CELL_WORDS);
    CHECK(cell_read(span_of("12 apples"), '.', &value, &unit) == CELL_WORDS);
}

TEST(words_become_utf8)
{
    char text[32];
    cell_copy(span_of("20 \xB0"
                      "C"),
              text, sizeof text);
    CHECK_TEXT(text, "20 °C");
    cell_copy(span_of("20 °C"), text, sizeof text);
    CHECK_TEXT(text, "20 °C");
    cell_copy(span_of("a\r\nb"), text, sizeof text);
    CHECK_TEXT(text, "a  b");
}
