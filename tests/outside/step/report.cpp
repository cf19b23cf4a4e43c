// Reads STEP files with the OCCT kernel libraries and says of each, as one line of JSON,
// what the kernel makes of it.
#include <BRepCheck_Analyzer.hxx>
#include <BRepGProp.hxx>
#include <BRep_Tool.hxx>
#include <GProp_GProps.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <STEPControl_Reader.hxx>
#include <ShapeAnalysis_ShapeTolerance.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Shape.hxx>

#include <cstdio>

namespace {

// Relative error that the kernel's own quadrature of volumes may leave.
constexpr double kQuadrature = 1e-11;

void report(const char *path) {
  STEPControl_Reader reader;
  if (reader.ReadFile(path) != IFSelect_RetDone || reader.TransferRoots() < 1) {
    std::printf("{\"file\": \"%s\", \"read\": false}\n", path);
    return;
  }
  const TopoDS_Shape shape = reader.OneShape();
  int solids = 0;
  int loose = 0;
  bool closed = true;
  double volume = 0.0;
  for (TopExp_Explorer at(shape, TopAbs_SOLID); at.More(); at.Next()) {
    GProp_GProps properties;
    BRepGProp::VolumeProperties(at.Current(), properties, kQuadrature);
    volume += properties.Mass();
    ++solids;
  }
  for (TopExp_Explorer at(shape, TopAbs_SHELL); at.More(); at.Next()) {
    closed = closed && BRep_Tool::IsClosed(at.Current());
  }
  for (TopExp_Explorer at(shape, TopAbs_FACE, TopAbs_SOLID); at.More(); at.Next()) {
    ++loose;
  }
  ShapeAnalysis_ShapeTolerance tolerance;
  std::printf(
      "{\"file\": \"%s\", \"read\": true, \"valid\": %s, \"closed\": %s, \"solids\": %d, "
      "\"loose_faces\": %d, \"volume_mm3\": %.12g, \"tolerance_mm\": %.6g}\n",
      path, BRepCheck_Analyzer(shape).IsValid() ? "true" : "false", closed ? "true" : "false",
      solids, loose, volume, tolerance.Tolerance(shape, 1));
}

}  // namespace

int main(int count, char **paths) {
  Message::DefaultMessenger()->ChangePrinters().Clear();
  for (int i = 1; i < count; ++i) {
    report(paths[i]);
  }
}
