// Choosing the service; see the header.
#include "controller/core/service.hpp"

#include "controller/core/held.hpp"
#include "controller/core/permissives.hpp"
#include "controller/core/step_limits.hpp"

namespace freshet::core {

void watch_idle_drive(DriveWatch& watch, const Picture& picture, const SequencerState& sequencer,
                      bool adopted, const Settings& settings) noexcept {
    const bool runs = adopted && drive_is_idle(sequencer) && picture.drive_running;
    track_since(watch.runs_since_ms, runs, picture.time_ms);
    watch.keeps_running =
        runs && held_ms(watch.runs_since_ms, picture.time_ms) >= limit_ms(Limit::drive_stop, settings, 0);
}

Service judge_service(const Sight& sight, const SequencerState& sequencer, const DriveWatch& drive,
                      bool adopted, const Settings& settings) noexcept {
    const Picture& picture = sight.picture;
    const MeasuredValue& measured = sight.measured();
    if (measured.usable == 0) return picture.floats_known ? Service::floats : Service::hold;
    const bool bus_occupied =
        adopted && drive_is_idle(sequencer) && picture.contacts_known && !drive_is_free(picture, settings);
    if (why_no_drive(sequencer, picture) != Permissive::none || bus_occupied || drive.keeps_running)
        return Service::fixed_speed;
    return measured.usable == measured.fitted ? Service::normal : Service::one_transmitter;
}

void note_service(Advice& advice, Service service, Journal& journal) noexcept {
    if (service == advice.service) return;
    journal.note(EventKind::service, static_cast<std::uint8_t>(service), no_pump,
                 service < advice.service ? Reason::service_better : Reason::service_worse);
    advice.service = service;
}

}  // namespace freshet::core
