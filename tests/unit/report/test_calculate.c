#include "check.h"

#include "report/calculate.h"

#include <stdlib.h>

static struct message message;

/* Asks in pairs of field and words, ended by NULL; the status of the first that is refused, else of the answer. */
static enum status ask(const char *name, const char *const *pairs, struct calculated *ret_calculated)
{
    const struct calculation *calculation = calculation_named(name);
    CHECK(calculation != NULL);
    void *asked = calculation->begin();
    enum status status = STATUS_OK;
    message = (struct message){0};
    for (; *pairs != NULL && status == STATUS_OK; pairs += 2) {
        CHECK(calculation_has(calculation, pairs[0]));
        status = calculation->take(asked, pairs[0], pairs[1], &message);
    }
    if (status == STATUS_OK)
        status = calculate(calculation, asked, ret_calculated, &message);
    free(asked);
    return status;
}
#define ASK(name, ret, ...) ask((name), (const char *const[]){__VA_ARGS__, NULL}, (ret))

/* Refused, with these words in what is said. */
static bool refuses(const char *words, enum status status)
{
    return status == STATUS_USAGE && strstr(message.what, words) != NULL;
}

static double number(const json_t *json, const char *key)
{
    return json_number_value(json_object_get(json, key));
}

static const json_t *nth(const struct calculated *c, const char *list, size_t k)
{
    return json_array_get(json_object_get(c->json, list), k);
}

static bool assumes(const struct calculated *c, const char *words)
{
    for (size_t k = 0; k < listing_rows(&c->assumed); k++)
        if (strstr(listing_cell(&c->assumed, k, 0), words) != NULL)
            return true;
    return false;
}

TEST(each_says_where_it_is_from)
{
    size_t count = 0;
    for (const struct calculation *const *one = calculations; *one != NULL; one++, count++) {
        CHECK((*one)->sources[0] != NULL && (*one)->method[0] != '\0' && (*one)->fields[0] != NULL);
        CHECK(calculation_has(*one, (*one)->word) && calculation_named((*one)->name) == *one);
    }
    CHECK(count == 4 && calculation_named("short-circuit") == NULL);
}

/* 10 AWG is 5.2612 mm² (ASTM B258); with 1/58 Ω·mm²/m and 0.00393 /K (IEC 60028, from memory) 1.3 m of it have 4.261 mΩ
 * at 20 °C. At 105 °C it carries 60 A in boats (33 CFR 183.425, Table 5). */
TEST(a_conductor_is_computed_by_published_numbers)
{
    struct calculated c = {0};
    CHECK(ASK("wire", &c, "size", "10 AWG", "length", "130 cm", "current", "7.5A", "insulation", "105 °C", "air", "20°C",
              "joint", "0.001 mΩ") == STATUS_OK);
    CHECK_NEAR(number(c.json, "area_mm2"), 5.2612, 2e-4);
    CHECK_NEAR(number(c.json, "boats_a"), 60, 1e-9);
    const json_t *at = nth(&c, "at", 0);
    double ohm = number(json_object_get(at, "resistance_ohm"), "value"), degc = number(json_object_get(at, "hottest_degc"), "value");
    CHECK(degc > 20 && degc < 24);
    CHECK_REL(ohm, 4.261e-3 * (1 + 0.00393 * (degc - 20)), 2e-3);
    CHECK_REL(number(json_object_get(at, "heat_w"), "value"), 7.5 * 7.5 * ohm, 1e-6);
    CHECK(assumes(&c, "Copper") && !assumes(&c, "Air of") && !assumes(&c, "each crimp") && assumes(&c, "of which no temperature is told"));
    CHECK(json_array_size(json_object_get(c.json, "assumed")) == listing_rows(&c.assumed));
    calculated_free(&c);
}

static double allowed_at(const char *current, const char *board)
{
    struct calculated c = {0};
    CHECK(ASK("wire", &c, "size", "10 AWG", "length", "18 cm", "current", current, "insulation", "200", "cell", "38", "board",
              board) == STATUS_OK);
    double allowed_a = number(json_object_get(c.json, "allowed_a"), "value");
    calculated_free(&c);
    return allowed_a;
}

/* Ends that are warm because 50 A flow are warmer when more does; they are no cooler for what flows less than it was read at. */
TEST(ends_get_warmer_with_the_current_beyond_what_they_were_read_at)
{
    double of_50_a = allowed_at("50 A", "52"), of_70_a = allowed_at("70 A", "52");
    CHECK(of_50_a > 50 && of_70_a > 1.1 * of_50_a);
    /* 25 + (52 − 25)(I/50)² is 90 °C at 77.6 A, whatever the lead adds. */
    CHECK(of_50_a < 50 * sqrt((90 - 25) / (52.0 - 25)));
    double hot = allowed_at("140 A", "81"), hotter_read = allowed_at("160 A", "81");
    CHECK(hot < 140 && fabs(hot - hotter_read) < 1e-3 * hot);
}

TEST(a_jacket_that_nobody_knows_allows_little)
{
    struct calculated unknown = {0}, least = {0};
    CHECK(ASK("wire", &unknown, "size", "2 x 8 AWG", "length", "31 cm", "current", "61") == STATUS_OK);
    CHECK(ASK("wire", &least, "size", "2 x 8 AWG", "length", "31 cm", "current", "61", "insulation", "60") == STATUS_OK);
    CHECK(assumes(&unknown, "60 °C (the least of 33 CFR 183.425") && !assumes(&least, "60 °C (the least"));
    CHECK_NEAR(number(json_object_get(unknown.json, "allowed_a"), "value"), number(json_object_get(least.json, "allowed_a"), "value"),
               1e-9);
    calculated_free(&unknown);
    calculated_free(&least);
    CHECK(refuses("no insulation", ASK("wire", &least, "size", "20 x 2 mm", "length", "9 cm", "current", "99 A", "insulation", "90")));
}

TEST(what_cannot_be_used_is_refused_by_field)
{
    struct calculated c = {0};
    CHECK(refuses("length cannot use '22'", ASK("wire", &c, "length", "22"))); /* centimetres or metres? */
    CHECK(refuses("joint cannot use '0.1'", ASK("wire", &c, "joint", "0.1")));
    CHECK(refuses("current cannot use '-3 A'", ASK("wire", &c, "current", "-3 A")));
    CHECK(refuses("current cannot use '3 V'", ASK("wire", &c, "current", "3 V")));
    CHECK(refuses("closed cannot use 'maybe'", ASK("wire", &c, "closed", "maybe")));
    CHECK(refuses("metal cannot use 'gold'", ASK("wire", &c, "metal", "gold")));
    CHECK(refuses("a second", ASK("wire", &c, "size", "10 AWG", "size", "8 AWG")));
    CHECK(refuses("needs its size, length and current", ASK("wire", &c, "size", "10 AWG")));
    CHECK(refuses("'25' is neither", ASK("thermistor", &c, "value", "25"))); /* ohms or degrees? */
    CHECK(refuses("'-300°C' is neither", ASK("thermistor", &c, "value", "-300°C")));
    CHECK(refuses("'0 Ω' is neither", ASK("thermistor", &c, "value", "0 Ω")));
    CHECK(refuses("point2 cannot use", ASK("thermistor", &c, "point2", "10 kΩ")));
    CHECK(refuses("nothing is asked", ASK("thermistor", &c, "r25", "10 kΩ", "beta", "3435")));
    CHECK(refuses("R25 with B", ASK("thermistor", &c, "value", "1 kΩ", "r25", "10 kΩ")));
    CHECK(refuses("three sides", ASK("casesize", &c, "length", "329", "height", "214")));
    CHECK(refuses("a fourth side", ASK("casesize", &c, "side", "1", "side", "2", "side", "3", "side", "4")));
    CHECK(refuses("no group", ASK("casesize", &c, "group", "99")));
    CHECK(refuses("tested cannot use", ASK("cellcode", &c, "tested", "14.3.2026")));
    CHECK(refuses("no code given", ASK("cellcode", &c, "tested", "2026-03-14")));
    CHECK(c.json == NULL);
}

/* R25 exp(B(1/T − 1/298.15 K)) with 10 kΩ and 3435 K is 28704.3 Ω at 0 °C, 2980.9 Ω at 60 °C. */
TEST(a_sensor_goes_both_ways)
{
    struct calculated c = {0};
    CHECK(ASK("thermistor", &c, "r25", "10 kΩ", "beta", "3435", "value", "28.7043 kΩ", "value", "60 °C") == STATUS_OK);
    const json_t *first = json_object_get(nth(&c, "answers", 0), "degc");
    CHECK_NEAR(number(first, "value"), 0, 1e-3);
    CHECK(number(first, "low") < -0.2 && number(first, "high") > 0.2);
    CHECK_REL(number(nth(&c, "answers", 1), "ohm"), 2980.9, 2e-5);
    CHECK(assumes(&c, "1 %"));
    calculated_free(&c);
    CHECK(ASK("thermistor", &c, "point1", "32.65 kΩ, 0 °C", "point2", "10 kΩ,25 °C", "point3", "3.603kΩ , 50°C", "value", "10 kΩ",
              "spread", "2.5 %") == STATUS_OK);
    CHECK_NEAR(number(json_object_get(nth(&c, "answers", 0), "degc"), "value"), 25, 1e-6);
    CHECK(!assumes(&c, "1 %"));
    calculated_free(&c);
}

TEST(sides_are_millimetres_unless_they_say_otherwise)
{
    struct calculated plain = {0}, said = {0};
    CHECK(ASK("casesize", &plain, "side", "329", "side", "172", "side", "238") == STATUS_OK);
    CHECK(ASK("casesize", &said, "height", "238 mm", "width", "17.2 cm", "length", "0.329 m") == STATUS_OK);
    CHECK_TEXT(json_string_value(json_object_get(nth(&said, "groups", 0), "group")), "31");
    CHECK(json_equal(plain.json, said.json));
    calculated_free(&plain);
    calculated_free(&said);
}

TEST(codes_are_taken_apart_and_held_together)
{
    struct calculated c = {0};
    CHECK(ASK("cellcode", &c, "code", "ZZZCB99ABCDEFGB3C0000123", "code", "zzzcb99 abcdefg b3c 0000124", "tested", "2026-03-14") ==
          STATUS_OK);
    CHECK_NEAR(number(nth(&c, "codes", 1), "age_days"), 1828, 0);
    CHECK(strstr(listing_cell(&c.rows, listing_rows(&c.rows) - 1, 1), "2 codes") != NULL);
    calculated_free(&c);
}
