// Light thrown back by the air, as POV-Ray 3.7 has it: three lamps in dust, seen by the driver of a vehicle with a hood and a
// post before it. airlight.py renders this and writes airlight.csv.
//
// x is right, y up, z ahead, from below the front bumper; metres. A light of colour C with this fade lights with C · 2 fd²/d²,
// so that I candela are C = I / (2 fd²). Scattering type 5 is Henyey and Greenstein's phase function times 4π. The medium is
// that of the scene, not of an object: only then are lights within it dimmed on their way.
#version 3.7;
global_settings { assumed_gamma 1.0 max_trace_level 5 }

#declare Fade = 0.005;
#declare Scale = 1 / 400;             // keeps the picture below 1
#declare Sigma = ln(20) / 150;        // 1/m: a visibility of 150 m, all of it by scattering
#declare Eccentricity = 0.5;

#macro Lamp(At, Toward, Candela, Power) // I cos^Power
  light_source {
    At color rgb Candela * Scale / (2 * Fade * Fade)
    spotlight point_at At + Toward radius 60 falloff 65 tightness Power
    fade_distance Fade fade_power 2
    media_attenuation on media_interaction on
  }
#end

Lamp(<0, 2.1, -1.65>, <0, -sin(radians(5)), cos(radians(5))>, 5000, 30)   // on the roof, 5 degrees down
Lamp(<-0.6, 0.8, -0.05>, <0, 0, 1>, 20000, 90)                            // on the bumper, left, level
Lamp(<0.5, 1.3, -1.6>, <0, -sin(radians(2)), cos(radians(2))>, 3000, 20)  // at the windscreen, right: over the hood

#declare Black = texture { pigment { rgb 0 } finish { ambient 0 diffuse 0 } }
box { <-0.85, 0.55, -1.5>, <0.85, 1.15, -0.15> texture { Black } }        // hood
box { <0.3, 0, 0.5>, <0.5, 1.8, 0.7> texture { Black } }                  // post
plane { y, 0 texture { Black } }
plane { -z, -30 texture { Black } }                                       // a wall 30 m ahead

media {
  method 2 intervals 1 samples 6000, 6000 jitter 0
  scattering { 5, rgb Sigma eccentricity Eccentricity extinction 1 }
}

camera { location <-0.42, 1.65, -2.2> direction z right x * 1.6 up y * 1.2 }
