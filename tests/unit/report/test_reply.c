#include "made.h"

#include "report/reply.h"

static const char label[] = "[sample]\nname = Sample 33\ninvented = yes\n[claims]\ncapacity = 60 Ah at 0.2 It | case\n"
                            "continuous current = 50 A | listing\nnominal voltage = 12.8 V | case\n"
                            "charging stops when cold = yes | listing\ncycle life = 3000\n";

static struct text card_of(struct made *made, const char *claim)
{
    struct text text = TEXT_EMPTY;
    struct message message = {0};
    CHECK(reply_card(&made->assessment, claim, 200, &text, &message) == STATUS_OK);
    return text;
}

TEST(a_decided_claim_says_by_how_much_it_would_have_to_be_wrong)
{
    struct made made;
    made_start(&made, label);
    made_decide(&made, 0, VERDICT_NOT_MET, made_measure(57.5, 0.6, 0.05), "57.50 ± 0.57 Ah", "until the BMS opened", "");
    made.decisions[0].probability = 1e-5;
    struct text text = card_of(&made, "capacity");
    has(&text, "Sample 33\nCapacity: 60 Ah at 0.2 It (case)\n");
    has(&text, "Result\n  Not met. Found: 57.50 ± 0.57 Ah, p < 0.001 that the claim holds. Until the BMS opened.\n");
    has(&text, "Largest doubt\n  Gain of the shunt, 98 %. What would shrink it: a better shunt.\n");
    /* 2.5 of 57.5 are 4.35 %; u is √(0.12 + 0.0025) = 0.35 */
    has(&text, "wrong by 4.35 %, too low: 7.1 times its standard uncertainty");
    text_free(&text);
    made_decide(&made, 0, VERDICT_MET, made_measure(61.5, 0.6, 0.05), "61.50 ± 0.57 Ah", "until the BMS opened", "");
    text = card_of(&made, "Capacity");
    has(&text, "too high: 4.3 times");
    text_free(&text);
    made_end(&made);
}

TEST(a_claim_about_a_value_is_overturned_at_its_nearer_end)
{
    struct made made;
    made_start(&made, label); /* 12.8 V, held to 5 %: 12.16 to 13.44 V */
    made_decide(&made, 2, VERDICT_MET, made_measure(12.36, 0.05, 0.01), "12.36 V", "mean volts", "");
    struct text text = card_of(&made, "nominal voltage");
    has(&text, "wrong by 1.62 %, too high");
    text_free(&text);
    made_end(&made);
}

/* 7.2 K of 52.2 °C are no 13.8 %. */
TEST(a_temperature_is_wrong_by_kelvins)
{
    struct made made;
    made_start(&made, "[sample]\nname = Sample 33\n[claims]\nhighest charge temperature = 45 °C\n");
    made_decide(&made, 0, VERDICT_NOT_MET, made_measure(52.2, 0.6, 0.05), "52.20 ± 0.57 °C", "by slow ramps", "");
    struct text text = card_of(&made, "highest charge temperature");
    has(&text, "wrong by 7.20 K, too high");
    text_free(&text);
    made_end(&made);
}

TEST(what_is_open_says_what_would_settle_it)
{
    struct made made;
    made_start(&made, label);
    made_decide(&made, 1, VERDICT_NOT_EXERCISED, made_measure(41, 0.3, 0.1), "41 A for 40.0 s", "reached 82 % of the claim",
                "a load of 50 A or more");
    struct text text = card_of(&made, "continuous_current");
    has(&text, "Largest doubt\n  Whether the claim holds where the test did not go.\n");
    has(&text, "What would settle it: a load of 50 A or more.");
    text_free(&text);
    text = card_of(&made, "cycle-life");
    has(&text, "Not tested.");
    has(&text, "None: nothing was done that bears on it.");
    has(&text, "A test of it: this one says nothing either way.");
    CHECK(strstr(text_string(&text), " .") == NULL); /* no empty sentence */
    text_free(&text);
    made_end(&made);
}

TEST(what_was_seen_rests_on_a_witness)
{
    struct made made;
    made_start(&made, label);
    made_decide(&made, 3, VERDICT_NOT_MET, measure_unknown("noted in words"), "seen not to", "no, filmed in the snow shed", "");
    struct text text = card_of(&made, "charging-stops-when-cold");
    has(&text, "It rests on what somebody saw.");
    has(&text, "a second witness");
    text_free(&text);
    made_end(&made);
}

TEST(an_unknown_claim_lists_those_there_are)
{
    struct made made;
    made_start(&made, label);
    struct text text = TEXT_EMPTY;
    struct message message = {0};
    CHECK(reply_card(&made.assessment, "colour", 80, &text, &message) == STATUS_USAGE);
    CHECK(strstr(message.remedy, "capacity, continuous-current") != NULL);
    CHECK(text.length == 0);
    CHECK(reply_find(&made.assessment, "colour") == NULL);
    made_end(&made);
    struct assessment none = {.label = label_empty()};
    CHECK(reply_card(&none, "capacity", 80, &text, &message) == STATUS_USAGE);
    CHECK(strstr(message.remedy, "--label") != NULL);
}
