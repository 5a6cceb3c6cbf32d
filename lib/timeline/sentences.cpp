#include "lib/timeline/sentences.h"

#include <array>
#include <cstddef>

#include <fmt/format.h>

namespace noonfall::timeline {
namespace {

constexpr std::size_t languages = 4;

// In the order of Sentence; English, Spanish, French, German.
constexpr std::array<const char*, languages> table[] = {
    {"Stand by, camera filter of {}.", "Atención, filtro de cámara de {}.",
     "Attention, filtre de l'appareil de {}.", "Achtung, Kamerafilter von {}."},
    {"Camera filter off, {}.", "Quitar filtro de cámara, {}.", "Enlever le filtre de l'appareil, {}.",
     "Kamerafilter abnehmen, {}."},
    {"Camera filter back on, {}.", "Volver a poner filtro de cámara, {}.",
     "Remettre le filtre de l'appareil, {}.", "Kamerafilter wieder aufsetzen, {}."},
    {"Camera filter on, {}.", "Poner filtro de cámara, {}.", "Mettre le filtre de l'appareil, {}.",
     "Kamerafilter aufsetzen, {}."},
    {"Rehearsal, keep the camera filter on, {}.", "Ensayo, el filtro de cámara sigue puesto, {}.",
     "Répétition, le filtre de l'appareil reste en place, {}.", "Probe, Kamerafilter aufgesetzt lassen, {}."},
    {"Clock not verified, operator decides.", "Reloj no verificado, decide el operador.",
     "Horloge non vérifiée, l'opérateur décide.", "Uhr nicht geprüft, die Bedienung entscheidet."},
    {"Hands needed at {}: {}.", "Se necesitan manos en {}: {}.", "On a besoin de vous à {}: {}.",
     "Hände gebraucht an {}: {}."},
    {"Hands needed at {}.", "Se necesitan manos en {}.", "On a besoin de vous à {}.",
     "Hände gebraucht an {}."},
    {"Hands off {}.", "No tocar más {}.", "Ne plus toucher {}.", "Hände weg von {}."},
    {"{} by hand: {}.", "{} a mano: {}.", "{} à la main: {}.", "{} von Hand: {}."},
    {"{} frames, {} to {}", "{} tomas, de {} a {}", "{} vues, de {} à {}", "{} Aufnahmen, {} bis {}"},
    {"rig {}", "equipo {}", "poste {}", "Kamera {}"},
    {"Camera {} is away. Switch it off and on.", "La cámara {} no responde. Apagar y encender.",
     "L'appareil {} ne répond plus. Éteindre et rallumer.",
     "Kamera {} antwortet nicht. Aus- und einschalten."},
    {"Sunlight is about to return. Protect your eyes.",
     "La luz del Sol está a punto de volver. Proteja sus ojos.",
     "La lumière du Soleil va revenir. Protégez vos yeux.",
     "Gleich kehrt das Sonnenlicht zurück. Augen schützen."},
    {"Second contact in {}.", "Segundo contacto en {}.", "Deuxième contact dans {}.",
     "Zweiter Kontakt in {}."},
    {"Third contact in {}.", "Tercer contacto en {}.", "Troisième contact dans {}.",
     "Dritter Kontakt in {}."},
    {"one minute", "un minuto", "une minute", "einer Minute"},
    {"thirty seconds", "treinta segundos", "trente secondes", "dreißig Sekunden"},
    {"ten seconds", "diez segundos", "dix secondes", "zehn Sekunden"},
};
static_assert(std::size(table) == static_cast<std::size_t>(Sentence::ten_seconds) + 1);

}  // namespace

std::string sentence(plan::Language language, Sentence what, const std::string& first,
                     const std::string& second, const std::string& third) {
  const auto* words = table[static_cast<std::size_t>(what)][static_cast<std::size_t>(language)];
  return fmt::format(fmt::runtime(words), first, second, third);
}

}  // namespace noonfall::timeline
