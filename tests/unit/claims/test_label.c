#include "check.h"

#include "claims/label.h"

static enum status read_text(const char *text, struct label *label, struct notices *notices, struct message *message)
{
    return label_read_text("sample.label", span_of(text), label, notices, message);
}

static const char whole[] =
    "[sample]\nname = Sample 9\nhad = lent by a member\nprice = EUR 411.50\nchemistry = LiFePO4\ninvented = yes\n"
    "[claims]\n"
    "nominal voltage = 25.6 V | case\n"
    "rated capacity = 52.5 Ah at 0.2 It, 25 °C, to 20 V | case\n"
    "energy = 1.344 kWh | case\n"
    "continuous current = 50 A | manual\n"
    "peak current = 101 A for 5 s | listing\n"
    "internal resistance = at most 41 mΩ | listing\n"
    "charge temperature = 0..45 °C | manual\n"
    "size = 330 x 172.5 x 215 mm | listing\n"
    "mass = 11.3 kg\n"
    "charging stops when cold = yes | listing\n"
    "suits a load of 1.5 kW = yes | listing\n"
    "[measured]\n"
    "mass = 11.42 kg ± 20 g | scale\n"
    "charging stops when cold = no | film\n"
    "[questions]\n"
    "age = how old is it?\n";

TEST(reads_a_whole_label)
{
    struct label label;
    struct notices notices = {0};
    struct message message = {0};
    CHECK(read_text(whole, &label, &notices, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    CHECK(label.claim_count == 14);
    CHECK_NEAR(label.rated_ah, 52.5, 0);
    CHECK_NEAR(label.rated_wh, 1344, 1e-9);
    CHECK_NEAR(label.price, 411.5, 0);
    CHECK_TEXT(label.currency, "EUR");
    CHECK(label.cells == 8 && label.cells_inferred && label.had_from == HAD_LENT && label.invented);
    const struct claim *capacity = label_claim(&label, CLAIM_CAPACITY);
    CHECK_NEAR(capacity->rate_it, 0.2, 0);
    CHECK_NEAR(capacity->degc, 25, 0);
    CHECK_NEAR(capacity->cut_off_v, 20, 0);
    CHECK_TEXT(capacity->where, "case");
    CHECK_TEXT(capacity->as_stated, "52.5 Ah at 0.2 It, 25 °C, to 20 V");
    CHECK_NEAR(label_claim(&label, CLAIM_PEAK_CURRENT)->duration_s, 5, 0);
    CHECK(isinf(label_claim(&label, CLAIM_CONTINUOUS_CURRENT)->duration_s));
    CHECK_NEAR(label_claim(&label, CLAIM_RESISTANCE)->stated, 0.041, 1e-12);
    CHECK_NEAR(label_claim(&label, CLAIM_WIDTH)->stated, 0.1725, 1e-12);
    CHECK_NEAR(label_claim(&label, CLAIM_CHARGE_TEMPERATURE_MAX)->stated, 45, 0);
    CHECK_NEAR(label_claim(&label, CLAIM_SUITS_LOAD)->stated, 1500, 0);
    CHECK(label.noted_count == 2 && label.noted[1].answer == 0);
    CHECK_NEAR(label.noted[0].measure.u, 0.020 / sqrt(3), 1e-9);
    CHECK(label.question_count == 1);
    label_free(&label);
    notices_free(&notices);
}

static void refuses(const char *text, long line, const char *remedy_part)
{
    struct label label;
    struct notices notices = {0};
    struct message message = {0};
    CHECK(read_text(text, &label, &notices, &message) == STATUS_MALFORMED);
    CHECK(message.line == line);
    if (strstr(message.remedy, remedy_part) == NULL)
        CHECK_TEXT(message.remedy, remedy_part);
    notices_free(&notices);
}

TEST(refuses_with_line_and_remedy)
{
    refuses("[claims]\ncapactiy = 100 Ah\n", 2, "capacity");
    refuses("[claims]\ncapacity = 100\n", 2, "unit");
    refuses("[claims]\ncapacity = 100 V\n", 2, "unit");
    refuses("[claims]\n\nsize = 3 mm\n", 3, "330 x");
    refuses("[claims]\ncapacity = yes\n", 2, "number");
    refuses("[sample]\nhad = somehow\n[claims]\ncapacity = 1 Ah\n", 2, "bought");
    refuses("[sample]\nname = x\n", 0, "[claims]");
    refuses("[claim]\ncapacity = 1 Ah\n", 2, "claims");
    refuses("[claims]\ncharge temperature = 45 °C\n", 2, "0..45");
    refuses("[claims]\nsuits a load of water = yes\n", 2, "2000 W");
    refuses("[claims]\ncapacity = -3 Ah\n", 2, "above zero");
    refuses("[claims]\ncapacity = 100..110 Ah\n", 2, "the one");
    refuses("[claims]\ncapacity = 100 Ah ± 5 %\n", 2, "about");
    refuses("[sample]\nprice = 1,329 EUR\n[claims]\ncapacity = 1 Ah\n", 2, "1329.50");
    refuses("[claims]\ncapacity = 1 Ah\n[measured]\nsize = 3 x 4 x 5 mm\n", 4, "length =");
}

TEST(small_print)
{
    struct label label;
    struct notices notices = {0};
    struct message message = {0};
    CHECK(read_text("[sample]\nhad = lent by a member, who had bought it\n[claims]\ncapacity = 52.5 Ah at 10.5 A\n"
                    "cells = 8S\ncontinuous current = max. 50 A\nenergy = about 1.3 kWh ± 2 %\n[measured]\n"
                    "mas = yes\nmass = 11.2..11.4 kg\n",
                    &label, &notices, &message) == STATUS_OK);
    CHECK(label.had_from == HAD_LENT);
    CHECK(label.cells == 8 && !label.cells_inferred);
    CHECK_NEAR(label_claim(&label, CLAIM_CAPACITY)->rate_it, 0.2, 1e-15);
    CHECK(label_claim(&label, CLAIM_CONTINUOUS_CURRENT)->sense == SENSE_AT_LEAST);
    CHECK_NEAR(label_claim(&label, CLAIM_ENERGY)->tolerance, 26, 1e-9);
    CHECK_NEAR(label.noted[1].measure.value, 11.3, 1e-12);
    CHECK_NEAR(label.noted[1].measure.u, 0.1 / sqrt(3), 1e-12);
    label_check(&label, &notices);
    CHECK(notices.count == 2); /* neither note answers a claim */
    CHECK(notices.items[0].line == 9 && strstr(notices.items[0].text, "'mas'") != NULL);
    label_free(&label);
    notices_free(&notices);
}

TEST(a_claim_may_stand_twice)
{
    struct label label;
    struct notices notices = {0};
    struct message message = {0};
    CHECK(read_text("[claims]\ncapacity = 52.5 Ah at 0.2 It\ncapacity = 49 Ah at 1 It\n", &label, &notices, &message) == STATUS_OK);
    CHECK_NEAR(label.rated_ah, 52.5, 0); /* the first is the rating */
    CHECK_TEXT(label.claims[0].slug, "capacity");
    CHECK_TEXT(label.claims[1].slug, "capacity-2");
    CHECK_TEXT(label.claims[1].name, "Capacity");
    label_free(&label);
    notices_free(&notices);
}

TEST(a_label_against_itself)
{
    struct label label;
    struct notices notices = {0};
    struct message message = {0};
    CHECK(read_text("[sample]\nchemistry = LiFePO4\n[claims]\nnominal voltage = 12.8 V\ncapacity = 100 Ah\n"
                    "energy = 1380 Wh\ncells = 5\ncharge voltage = 19 V\ncontinuous current = 700 A\npeak current = 20 A\n"
                    "mass = 4 kg\n",
                    &label, &notices, &message) == STATUS_OK);
    label_check(&label, &notices);
    CHECK(notices.count == 6);
    label_free(&label);
    notices_free(&notices);
}

TEST(a_sound_label_says_nothing)
{
    struct label label;
    struct notices notices = {0};
    struct message message = {0};
    CHECK(read_text("[claims]\nnominal voltage = 12.8 V\ncapacity = 100 Ah\nenergy = 1280 Wh\ncells = 4\n"
                    "charge voltage = 14.4 V\nmass = 10.9 kg\nsize = 330 x 172 x 215 mm\n[measured]\nmass = 11 kg\n",
                    &label, &notices, &message) == STATUS_OK);
    label_check(&label, &notices);
    CHECK(notices.count == 0);
    label_free(&label);
    notices_free(&notices);
}

/* Common practice, no source: labels give the charge volts of four cells as 14.4 to 14.6. */
TEST(two_volts_are_one_about_their_middle)
{
    struct label label;
    struct notices notices = {0};
    CHECK(read_text("[claims]\ncharge voltage = 14.4..14.6 V | manual\n", &label, &notices, NULL) == STATUS_OK);
    CHECK(label.claim_count == 1 && label.claims[0].sense == SENSE_ABOUT);
    CHECK_NEAR(label.claims[0].stated, 14.5, 1e-12);
    CHECK_NEAR(label.claims[0].tolerance, 0.1, 1e-12);
    CHECK_TEXT(label.claims[0].as_stated, "14.4..14.6 V");
    label_free(&label);
    CHECK(read_text("[claims]\ncharge voltage = 14.6..14.4 V\n", &label, &notices, NULL) == STATUS_MALFORMED);
    CHECK(read_text("[claims]\ncapacity = 98..102 Ah\n", &label, &notices, NULL) == STATUS_MALFORMED);
    notices_free(&notices);
}
