#include "rehearsal/served.h"

#include "base/memory.h"

enum { SERVERS = 4 };

struct served {
    struct live *live;
    struct bench_ports ports;
    struct serve_view views[SERVERS]; /* borrowed by the servers */
    struct server *servers[SERVERS];
};

/* The probe and the broker are spoken to whether anybody listens or not: they do not begin a bench. */
static enum status open_all(struct served *served, struct message *message)
{
    struct bench_ports *ports = &served->ports;
    struct serve_view *views = served->views;
    views[0] = live_view(served->live, METER_BENCH, false);
    views[1] = live_view(served->live, METER_SHUNT, false);
    views[2] = live_view(served->live, METER_PROBE, true);
    views[3] = live_view(served->live, METER_SHUNT, true);
    enum status status = serve_scpi(&views[0], ports->scpi, &served->servers[0], &ports->scpi, message);
    if (status == STATUS_OK)
        status = serve_modbus(&views[1], ports->modbus, &served->servers[1], &ports->modbus, message);
    if (status == STATUS_OK)
        status = serve_lines(&views[2], ports->lines, &served->servers[2], &ports->lines, message);
    if (status == STATUS_OK && ports->mqtt_host != NULL)
        status = serve_mqtt(&views[3], ports->mqtt_host, ports->mqtt_port, ports->mqtt_topic,
                            &served->servers[3], message);
    return status;
}

enum status served_open(const struct rehearsal *rehearsal, const struct clock *clock,
                        const struct bench_ports *wanted, bool now, struct served **ret_served,
                        struct message *message)
{
    struct served *served = memory_get(sizeof *served);
    served->live = live_new(rehearsal, clock);
    served->ports = *wanted;
    enum status status = open_all(served, message);
    if (status != STATUS_OK) {
        served_close(served);
        return status;
    }
    if (now)
        live_begin(served->live);
    *ret_served = served;
    return STATUS_OK;
}

void served_close(struct served *served)
{
    if (served == NULL)
        return;
    live_stop(served->live);
    for (int k = 0; k < SERVERS; k++)
        server_stop(served->servers[k]);
    live_free(served->live);
    free(served);
}

const struct bench_ports *served_ports(const struct served *served)
{
    return &served->ports;
}

struct live *served_live(struct served *served)
{
    return served->live;
}
