/* The habits of logs, each in a few lines. Common practice of instruments and spreadsheets, no source,
 * where none is named. */
#include "log_text.h"

#define V(log_, k_) (log_).series.column[CHANNEL_VOLTAGE][k_]
#define A(log_, k_) (log_).series.column[CHANNEL_CURRENT][k_]
#define T(log_, k_) (log_).series.column[CHANNEL_TEMPERATURE][k_]

/* Three rows that every form below must give: 13.21 V, 24.87 A; 13.19 V, 24.91 A; 13.17 V, 24.93 A. */
static bool gives_three_rows(const char *text)
{
    struct log log;
    if (read_text(text, &log) != STATUS_OK) {
        printf("    refused: %s. %s\n    %s", log_message.what, log_message.remedy, text);
        return false;
    }
    bool same = log.series.count == 3 && log.bad_count == 0 && V(log, 0) == 13.21 && V(log, 1) == 13.19 &&
                V(log, 2) == 13.17 && A(log, 0) == 24.87 && A(log, 1) == 24.91 && A(log, 2) == 24.93 &&
                log.series.t_s[1] - log.series.t_s[0] == 1 && log.series.t_s[2] - log.series.t_s[0] == 2.5;
    if (!same)
        printf("    read otherwise: %s", text);
    log_free(&log);
    return same;
}

TEST(delimiters_and_decimal_signs)
{
    CHECK(gives_three_rows("time,voltage,current\n0,13.21,24.87\n1,13.19,24.91\n2.5,13.17,24.93\n"));
    CHECK(gives_three_rows("time;voltage;current\n0;13.21;24.87\n1;13.19;24.91\n2.5;13.17;24.93\n"));
    CHECK(gives_three_rows("time;voltage;current\n0;13,21;24,87\n1;13,19;24,91\n2,5;13,17;24,93\n"));
    CHECK(gives_three_rows("time\tvoltage\tcurrent\n0\t13.21\t24.87\n1\t13.19\t24.91\n2.5\t13.17\t24.93\n"));
    CHECK(gives_three_rows("time\tvoltage\tcurrent\n0\t13,21\t24,87\n1\t13,19\t24,91\n2,5\t13,17\t24,93\n"));
    CHECK(gives_three_rows("time|voltage|current\n0|13.21|24.87\n1|13.19|24.91\n2.5|13.17|24.93\n"));
    CHECK(gives_three_rows(
        "| time | voltage | current |\n| 0 | 13.21 | 24.87 |\n| 1 | 13.19 | 24.91 |\n| 2.5 | 13.17 | 24.93 |\n"));
    CHECK(gives_three_rows("time voltage current\n0 13.21 24.87\n1 13.19 24.91\n2.5 13.17 24.93\n"));
    CHECK(gives_three_rows(
        "  time   voltage  current\n   0    13.21    24.87\n   1    13.19    24.91\n   2.5  13.17    24.93\n"));
    CHECK(gives_three_rows("time, voltage, current\n0, 13.21, 24.87\n1, 13.19, 24.91\n2.5, 13.17, 24.93\n"));
    CHECK(gives_three_rows("sep=;\ntime;voltage;current\n0;13.21;24.87\n1;13.19;24.91\n2.5;13.17;24.93\n"));
}

TEST(quotes_and_decimal_commas_between_commas)
{
    CHECK(gives_three_rows(
        "\"time\",\"voltage\",\"current\"\n\"0\",\"13.21\",\"24.87\"\n\"1\",\"13.19\",\"24.91\"\n\"2.5\",\"13.17\",\"24.93\"\n"));
    CHECK(gives_three_rows(
        "time,voltage,current\n\"0\",\"13,21\",\"24,87\"\n\"1\",\"13,19\",\"24,91\"\n\"2,5\",\"13,17\",\"24,93\"\n"));
}

TEST(line_ends_and_encodings)
{
    CHECK(gives_three_rows("time,voltage,current\r\n0,13.21,24.87\r\n1,13.19,24.91\r\n2.5,13.17,24.93\r\n"));
    CHECK(gives_three_rows("time,voltage,current\r0,13.21,24.87\r1,13.19,24.91\r2.5,13.17,24.93\r"));
    CHECK(gives_three_rows("time,voltage,current\n0,13.21,24.87\r\n1,13.19,24.91\n2.5,13.17,24.93"));
    CHECK(gives_three_rows(
        "\xEF\xBB\xBFtime,voltage,current\n0,13.21,24.87\n1,13.19,24.91\n2.5,13.17,24.93\n"));
    CHECK(gives_three_rows(
        "\n\ntime,voltage,current\n\n0,13.21,24.87\n\n1,13.19,24.91\n2.5,13.17,24.93\n\n\n"));
    CHECK(
        gives_three_rows("time,voltage,current,T \xB0"
                         "C\n0,13.21,24.87,20.5\n1,13.19,24.91,20.5\n2.5,13.17,24.93,20.6\n")); /* Latin-1 */
}

TEST(preambles)
{
    CHECK(gives_three_rows(
        "# recorded in the hut\n# 25 A\ntime,voltage,current\n0,13.21,24.87\n1,13.19,24.91\n2.5,13.17,24.93\n"));
    CHECK(gives_three_rows("# time,voltage,current\n0,13.21,24.87\n1,13.19,24.91\n2.5,13.17,24.93\n"));
    CHECK(gives_three_rows(
        "Serial,12345\nRange,20\nOperator,nobody\n\ntime,voltage,current\n0,13.21,24.87\n1,13.19,24.91\n2.5,13.17,24.93\n"));
    CHECK(
        gives_three_rows("Channels\t2\nSamples\t1\t1\t1\nX0\t0.0E+0\t0.0E+0\t0.0E+0\ntime\tvoltage\tcurrent\n"
                         "0\t13.21\t24.87\n1\t13.19\t24.91\n2.5\t13.17\t24.93\n"));
    CHECK(gives_three_rows("time,voltage,current\ns,V,A\n0,13.21,24.87\n1,13.19,24.91\n2.5,13.17,24.93\n"));
    CHECK(gives_three_rows(
              "time,voltage,current\n[s],[V],[mA]\n0,13.21,24870\n1,13.19,24910\n2.5,13.17,24930\n") ||
          gives_three_rows(
              "time,voltage,current\n[s],[V],[A]\n0,13.21,24.87\n1,13.19,24.91\n2.5,13.17,24.93\n"));
    CHECK(gives_three_rows("s,V,A\n0,13.21,24.87\n1,13.19,24.91\n2.5,13.17,24.93\n"));
    CHECK(gives_three_rows(
        "# columns: time, voltage, current\n0,13.21,24.87\n1,13.19,24.91\n2.5,13.17,24.93\n"));
}

TEST(comments_and_repeated_headers_inside)
{
    CHECK(gives_three_rows(
        "time,voltage,current\n0,13.21,24.87\n# load on\n1,13.19,24.91\ntime,voltage,current\n2.5,13.17,24.93\n"));
    CHECK(gives_three_rows(
        "time,voltage,current\n0,13.21,24.87\nTime (s),Voltage (V),Current (A)\n1,13.19,24.91\n2.5,13.17,24.93\n"));
    struct log log;
    CHECK(read_text("time,voltage,current\n0,13.21,24.87\ntime,voltage,current\n1,13.19,24.91\n", &log) ==
          STATUS_OK);
    CHECK(notes(&log, "1 header line inside"));
    log_free(&log);
}

TEST(units_with_prefixes)
{
    struct log log;
    CHECK(
        read_text(
            "Time(min),Voltage(mV),I [mA],P/kW,Q/mA.h,E (kWh),temp_degF\n0,13210,24870,0.3285,1500,0.02,68\n"
            "0.5,13190,24910,0.3286,1700,0.0226,68\n",
            &log) == STATUS_OK);
    CHECK_NEAR(log.series.t_s[1], 30, 1e-12);
    CHECK_NEAR(V(log, 0), 13.21, 1e-12);
    CHECK_NEAR(A(log, 1), 24.91, 1e-12);
    CHECK_NEAR(log.series.column[CHANNEL_POWER][0], 328.5, 1e-9);
    CHECK_NEAR(log.series.column[CHANNEL_CHARGE_TALLY][1], 1.7, 1e-12);
    CHECK_NEAR(log.series.column[CHANNEL_ENERGY_TALLY][1], 22.6, 1e-12);
    CHECK_NEAR(T(log, 0), 20, 1e-12);
    CHECK_NEAR(log.series.resolution[CHANNEL_VOLTAGE], 1e-3, 1e-15);
    CHECK_TEXT(log.columns[2].unit, "mA");
    log_free(&log);
}

TEST(cells_that_carry_their_unit)
{
    CHECK(gives_three_rows(
        "time,voltage,current\n0 s,13.21 V,24.87 A\n1 s,13.19 V,24.91 A\n2.5 s,13.17 V,24.93 A\n"));
    struct log log;
    CHECK(read_text("time,voltage,current\n0,13.21 V,250 mA\n1,13.19 V,0.3 A\n2,13.1 V,5 W\n", &log) ==
          STATUS_OK);
    CHECK_NEAR(A(log, 0), 0.25, 1e-15);
    CHECK(log.bad_count == 1 && log.bad[0].line == 4 && log.bad[0].column == 3); /* watts are no amperes */
    log_free(&log);
}

TEST(missing_cells_and_overload_marks)
{
    struct log log;
    CHECK(
        read_text(
            "time,voltage,current,temp\n0,13.21,24.87,20.1\n1,OL,24.9,\n2,13.2,9.91E37,NaN\n3,13.2,3.400000E+38,---\n4,,24.9,20.2\n"
            "5,13.2,24.9,20.3\n",
            &log) == STATUS_OK);
    CHECK(log.series.count == 6 && log.missing_cells == 7 && log.bad_count == 0);
    CHECK(isnan(V(log, 1)) && isnan(A(log, 2)) && isnan(A(log, 3)) && isnan(T(log, 3)) && isnan(V(log, 4)));
    log_free(&log);
}

TEST(bad_rows_are_counted_listed_and_left_out)
{
    struct log log;
    CHECK(
        read_text(
            "# line 1\ntime,voltage,current\n0,13.21,24.87\n1,13.2x,24.9\n2,13.2,24.9,7,8\n\nlater,13.2,24.9\n4,13.2\n5,13.1,24.8\n6,13.1,24.8\n7,13.1,24.8\n",
            &log) == STATUS_OK);
    CHECK(log.series.count == 4 && log.bad_count == 4);
    CHECK(log.bad[0].line == 4 && log.bad[0].column == 2);
    CHECK_TEXT(log.bad[0].text, "13.2x");
    CHECK(log.bad[1].line == 5 && log.bad[1].column == 0);
    CHECK_TEXT(log.bad[1].why, "more cells than columns");
    CHECK(log.bad[2].line == 7 && log.bad[2].column == 1);
    CHECK(log.bad[3].line == 8);
    CHECK_TEXT(log.bad[3].why, "the row is cut short");
    CHECK(notes(&log, "4 rows could not be read"));
    log_free(&log);
}

TEST(quoted_cells_with_line_ends)
{
    struct log log;
    CHECK(
        read_text(
            "time,voltage,current,note\n0,13.21,24.87,\"burst,\nthen \"\"rest\"\"\"\n1,13.19,24.91,\n2,13x,24.9,\n3,13.1,24.9,\"open\n4,13,24,\n",
            &log) == STATUS_OK);
    CHECK(log.series.count == 3 && log.bad_count == 2);
    CHECK(log.bad[0].line == 5 && log.bad[1].line == 6);
    CHECK_TEXT(log.bad[1].why, "a quote is not closed");
    CHECK(log.series.mark_count == 1);
    CHECK_TEXT(log.series.marks[0].words, "burst, then \"rest\"");
    log_free(&log);
}

TEST(marks)
{
    struct log log;
    CHECK(
        read_text(
            "time,voltage,current,note\n0,13.2,0.1,\n1,13.1,24.9,load on\n2,13.1,24.9,load on\n3,13.1,24.9,\n4,13.1,24.9,load on\n",
            &log) == STATUS_OK);
    CHECK(log.series.mark_count == 2);
    CHECK_NEAR(log.series.marks[0].t_s, 1, 0);
    CHECK_NEAR(log.series.marks[1].t_s, 4, 0);
    CHECK(log.series.marks[1].line == 6);
    log_free(&log);
}

TEST(unsigned_current_beside_a_mode)
{
    struct log log;
    CHECK(
        read_text(
            "t (s),V,A,W,Mode\n0,13.2,0,0,REST\n1,13.1,24.9,326,DCHG\n2,13.1,24.8,325,DCHG\n3,13.3,5.1,68,CHRG\n",
            &log) == STATUS_OK);
    CHECK(log.sign == SIGN_BY_MODE);
    CHECK_NEAR(A(log, 1), 24.9, 0);
    CHECK_NEAR(A(log, 3), -5.1, 0);
    CHECK_NEAR(log.series.column[CHANNEL_POWER][3], -68, 0);
    log_free(&log);
}

TEST(a_short_unsigned_charge_is_not_taken_for_noise)
{
    char text[16000] = "t (s),V,A,Mode\n";
    for (int k = 0; k < 400; k++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "%d,13.1,%d,%s\n", k, k == 399 ? 5 : 25,
                 k == 399 ? "CHRG" : "DCHG");
    struct log log;
    CHECK(read_text(text, &log) == STATUS_OK);
    CHECK(log.sign == SIGN_BY_MODE);
    CHECK_NEAR(A(log, 399), -5, 0);
    log_free(&log);
}

TEST(an_unsigned_current_in_an_unknown_mode_has_no_sign)
{
    struct log log;
    const char *text =
        "t (s),V,A,Mode\n0,13.1,25,DCHG\n1,13.1,25,DCHG\n2,13.1,25,DCHG\n3,13.1,25,DCHG\n4,13.1,25,DCHG\n5,13.1,25,DCHG\n"
        "6,13.1,25,DCHG\n7,13.1,25,DCHG\n8,13.1,25,DCHG\n9,13.1,5,CHRG\n10,13.2,4,FLOAT\n11,13.2,0,REST\n";
    CHECK(read_text(text, &log) == STATUS_OK);
    CHECK(log.sign == SIGN_BY_MODE && log.missing_cells == 1);
    CHECK(isnan(A(log, 10)) && A(log, 11) == 0 && A(log, 9) == -5);
    CHECK(notes(&log, "neither charge, discharge nor rest"));
    log_free(&log);
}

TEST(unsigned_watts_beside_a_mode)
{
    struct log log;
    CHECK(read_text("t (s),V,W,Mode\n0,13.1,300,DCHG\n1,13.3,60,CHRG\n", &log) == STATUS_OK);
    CHECK(log.sign == SIGN_BY_MODE);
    CHECK_NEAR(log.series.column[CHANNEL_POWER][1], -60, 0);
    log_free(&log);
}

TEST(signed_current_beside_a_mode)
{
    struct log log;
    CHECK(read_text("t (s),V,A,Mode\n0,13.2,0,REST\n1,13.1,-24.9,DCHG\n2,13.1,-24.8,DCHG\n3,13.3,5.1,CHRG\n",
                    &log) == STATUS_OK);
    CHECK(log.sign == SIGN_CHARGE_POSITIVE);
    CHECK_NEAR(A(log, 1), -24.9, 0); /* as the log has it */
    log_free(&log);
    CHECK(read_text("t (s),V,A,Mode\n0,13.2,0,R\n1,13.1,24.9,D\n2,13.1,24.8,D\n3,13.3,-5.1,C\n", &log) ==
          STATUS_OK);
    CHECK(log.sign == SIGN_DISCHARGE_POSITIVE);
    log_free(&log);
}

TEST(sign_in_words)
{
    struct log log;
    CHECK(read_text("# current: positive = charge\ntime,voltage,current\n0,13.2,-5\n1,13.1,-5\n", &log) ==
          STATUS_OK);
    CHECK(log.sign == SIGN_CHARGE_POSITIVE);
    log_free(&log);
    CHECK(read_text("time,voltage,discharge current (A)\n0,13.2,5\n1,13.1,5\n", &log) == STATUS_OK);
    CHECK(log.sign == SIGN_DISCHARGE_POSITIVE);
    log_free(&log);
    CHECK(read_text("time,voltage,current\n0,13.2,-5\n1,13.1,-5\n", &log) == STATUS_OK);
    CHECK(log.sign == SIGN_NOT_STATED);
    log_free(&log);
}

TEST(invented_data_say_so)
{
    struct log log;
    CHECK(read_text("# invented data\ntime,voltage,current\n0,13.2,5\n1,13.1,5\n", &log) == STATUS_OK);
    CHECK(log.invented);
    log_free(&log);
    CHECK(read_text("# data\ntime,voltage,current\n0,13.2,5\n1,13.1,5\n", &log) == STATUS_OK);
    CHECK(!log.invented);
    log_free(&log);
}

TEST(temperatures_are_told_apart)
{
    struct log log;
    CHECK(read_text(
              "time,V,A,Chamber Temp,Temp 1,Cell Temp\n0,13.2,5,25.1,22.2,23.3\n1,13.2,5,25.1,22.2,23.3\n",
              &log) == STATUS_OK);
    CHECK_NEAR(T(log, 0), 23.3, 0);
    CHECK_NEAR(log.series.column[CHANNEL_AMBIENT][0], 25.1, 0);
    log_free(&log);
    CHECK(read_text("time,V,A,Temp 1,Temp 2\n0,13.2,5,22.2,23.3\n1,13.2,5,22.2,23.3\n", &log) == STATUS_OK);
    CHECK_NEAR(T(log, 0), 22.2, 0);
    CHECK(notes(&log, "2 columns could be the temperature"));
    log_free(&log);
}

TEST(cells_and_other_devices_give_way_to_the_pack)
{
    struct log log;
    CHECK(read_text("time,Cell 1 V,Cell 2 V,Voltage (V),Charger voltage (V),Current (A),Current limit (A)\n"
                    "0,3.3,3.31,13.2,14.4,5,20\n1,3.3,3.31,13.1,14.4,5,20\n",
                    &log) == STATUS_OK);
    CHECK_NEAR(V(log, 0), 13.2, 0);
    CHECK_NEAR(A(log, 0), 5, 0);
    CHECK(says(log.columns[4].why, "not the sample's own"));
    log_free(&log);
    CHECK(read_text("time,Battery voltage,Load voltage,current\n0,13.2,12.9,5\n1,13.1,12.8,5\n", &log) ==
          STATUS_OK);
    CHECK_NEAR(V(log, 0), 13.2, 0);
    log_free(&log);
    CHECK(read_text("time,Voltage,Voltage,current\n0,13.2,13.2,5\n1,13.1,13.1,5\n", &log) ==
          STATUS_OK); /* the same twice */
    log_free(&log);
}

TEST(the_tally_of_the_discharge_is_taken)
{
    struct log log;
    CHECK(read_text(
              "time,V,A,Charge_Capacity(Ah),Discharge_Capacity(Ah),Charge_Energy(Wh),Discharge_Energy(Wh)\n"
              "0,13.2,5,1.5,0.1,20,1.3\n1,13.2,5,1.5,0.2,20,2.6\n",
              &log) == STATUS_OK);
    CHECK_NEAR(log.series.column[CHANNEL_CHARGE_TALLY][1], 0.2, 0);
    CHECK_NEAR(log.series.column[CHANNEL_ENERGY_TALLY][1], 2.6, 0);
    log_free(&log);
}

TEST(columns_asked_for)
{
    struct log log;
    static const char *const by_number[] = {"time=1", "current=2:mA", "voltage=3", NULL};
    CHECK(read_asked("0,24870,13.21,7\n1,24910,13.19,8\n", by_number, 0, &log) == STATUS_OK);
    CHECK_NEAR(A(log, 0), 24.87, 1e-12);
    CHECK_NEAR(V(log, 1), 13.19, 0);
    CHECK_TEXT(log.columns[1].why, "asked for as current");
    CHECK(log.first_line == 1);
    log_free(&log);
    static const char *const by_name[] = {"voltage=Volt 2", "temperature=5", "unused=6", NULL};
    CHECK(read_asked("time,Volt 1,Volt 2,current,x,temperature\n0,3.3,13.2,5,20,99\n1,3.3,13.1,5,21,99\n",
                     by_name, 0, &log) == STATUS_OK);
    CHECK_NEAR(V(log, 0), 13.2, 0);
    CHECK_NEAR(T(log, 1), 21, 0);
    log_free(&log);
}

TEST(columns_asked_for_by_the_name_without_its_unit)
{
    struct log log;
    static const char *const asked[] = {"voltage=volt 2", "current=I", NULL};
    CHECK(read_asked("time,Volt 1 (V),Volt 2 (V),I/mA\n0,3.3,13.2,5000\n1,3.3,13.1,5000\n", asked, 0, &log) ==
          STATUS_OK);
    CHECK_NEAR(V(log, 0), 13.2, 0);
    CHECK_NEAR(A(log, 0), 5, 1e-12);
    log_free(&log);
}

TEST(rows_without_a_time)
{
    struct log log;
    CHECK(read_asked("voltage,current\n13.2,5\n13.1,5.1\nbad,5\n13.0,5.2\n", NULL, 0.5, &log) == STATUS_OK);
    CHECK(log.series.count == 3 && log.bad_count == 1);
    CHECK_NEAR(log.series.t_s[2], 1.5, 0); /* the row that cannot be read has its place in time */
    log_free(&log);
    CHECK(read_text("Sample rate,10 Hz\nvoltage,current\n13.2,5\n13.1,5.1\n13.0,5.2\n", &log) == STATUS_OK);
    CHECK_NEAR(log.series.t_s[2], 0.2, 1e-15);
    CHECK(notes(&log, "0.1 s apart"));
    log_free(&log);
}

TEST(a_counter_is_no_step)
{
    struct log log;
    char text[4000] = "Step,time (s),V,A\n";
    for (int k = 0; k < 60; k++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "%d,%d,13.1,25\n", k, k);
    CHECK(read_text(text, &log) == STATUS_OK);
    CHECK(log.columns[0].role == COLUMN_UNUSED);
    log_free(&log);
}

TEST(readings_of_another_kind_before_the_first_row_are_said)
{
    struct log log;
    char text[4000] = "";
    for (int k = 0; k < 9; k++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "range,%d,%d\n", k, k);
    snprintf(text + strlen(text), sizeof text - strlen(text), "time,V,A\n");
    for (int k = 0; k < 30; k++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "%d,13.1,25\n", k);
    CHECK(read_text(text, &log) == STATUS_OK);
    CHECK(notes(&log, "9 lines before the first row hold numbers too"));
    log_free(&log);
}

TEST(two_rows_are_enough_and_one_is_read)
{
    struct log log;
    CHECK(read_text("time,voltage,current\n0,13.21,24.87\n", &log) == STATUS_OK);
    CHECK(log.series.count == 1);
    log_free(&log);
}

TEST(standard_input_and_pipes)
{
    int ends[2];
    CHECK(pipe(ends) == 0);
    const char text[] = "time,voltage,current\n0,13.21,24.87\n1,13.19,24.91\n";
    CHECK(write(ends[1], text, strlen(text)) == (ssize_t)strlen(text));
    close(ends[1]);
    int kept = dup(STDIN_FILENO);
    dup2(ends[0], STDIN_FILENO);
    struct log log;
    struct log_options options = {0};
    CHECK(log_read("-", &options, &log, &log_message) == STATUS_OK);
    CHECK(log.series.count == 2);
    log_free(&log);
    dup2(kept, STDIN_FILENO);
    close(kept);
    close(ends[0]);
}
