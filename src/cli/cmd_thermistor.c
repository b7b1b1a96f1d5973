#include "cli/calculating.h"
#include "cli/commands.h"

const char thermistor_about[] =
    "Turns the resistance of a board's sensor (NTC) into a temperature and back, by B or by a curve through three points\n"
    "of its table (Steinhart–Hart), with what the part's own spread makes of it.\n\n"
    "  rundown thermistor --r25 10kΩ --beta 3435 28.7kΩ 4.9kΩ\n"
    "  rundown thermistor --r25 10kΩ --beta 3435 -20°C 0°C 45°C\n"
    "  rundown thermistor --point 32.65kΩ,0°C --point 10kΩ,25°C --point 3.6kΩ,50°C 27kΩ\n\n"
    "Which curve a board uses is not printed on it: the temperature is that of the curve assumed. Measure an open sensor\n"
    "only with the board unpowered.";

const struct option_spec thermistor_options[] = {
    {"r25", "OHM", "resistance at 25 °C"},
    {"beta", "KELVIN", "B, as its maker prints it for two temperatures"},
    {"point", "OHM,TEMP", "a point of its table; three of them instead of --r25 and --beta"},
    {"spread", "SHARE", "of R25 and B, ± (1 % where nothing is said)"},
    {"json", NULL, "print as JSON"},
    {NULL, NULL, NULL},
};

int thermistor_run(int argc, char **argv)
{
    return calculating_run("thermistor", thermistor_options, NULL, argc, argv);
}
